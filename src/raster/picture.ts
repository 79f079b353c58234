/** How many bits a dot has: one, or some for each colour. */
export type Depth =
  | { readonly kind: "mono" }
  | { readonly kind: "colour"; readonly red: number; readonly green: number; readonly blue: number };

export const MONO: Depth = { kind: "mono" };

/** A picture, one value a dot, row by row from the top left. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly depth: Depth;
  /**
   * `width * height` values. One bit: 0 black, 1 white. Colour: the bits of red, green and blue in this order, each with its
   * most significant bit first; so the last blue bit has weight 1.
   */
  readonly dots: Uint16Array;
}

/** A black picture. Throws RangeError when a side is not a whole number above zero. */
export function blackPicture(width: number, height: number, depth: Depth = MONO): Picture {
  if (!(Number.isInteger(width) && Number.isInteger(height) && width > 0 && height > 0)) {
    throw new RangeError(`a picture cannot be ${width} by ${height} dots`);
  }
  return { width, height, depth, dots: new Uint16Array(width * height) };
}

/** The value of one dot; 0 outside the picture. */
export function dotAt(picture: Picture, x: number, y: number): number {
  const isInside = x >= 0 && x < picture.width && y >= 0 && y < picture.height;
  return isInside ? (picture.dots[y * picture.width + x] ?? 0) : 0;
}

/** How two pictures differ. */
export type PictureDifference =
  | { readonly sameSize: false }
  | {
      readonly sameSize: true;
      /** Number of dots that differ. */
      readonly count: number;
      /** The first of them in reading order. */
      readonly first?: { readonly x: number; readonly y: number };
    };

/** Counts the dots that differ. */
export function comparePictures(a: Picture, b: Picture): PictureDifference {
  if (a.width !== b.width || a.height !== b.height) return { sameSize: false };
  let count = 0;
  let first = -1;
  a.dots.forEach((value, index) => {
    if (value === b.dots[index]) return;
    if (count === 0) first = index;
    count++;
  });
  if (count === 0) return { sameSize: true, count };
  return { sameSize: true, count, first: { x: first % a.width, y: Math.floor(first / a.width) } };
}

/** One byte a dot, 0 black to 255 white; colours by their luma (weights of ITU-R BT.601). */
export function toGrey(picture: Picture): Uint8Array {
  if (picture.depth.kind === "mono") return Uint8Array.from(picture.dots, (value) => (value === 0 ? 0 : 255));
  const rgb = toRgb(picture);
  return Uint8Array.from(picture.dots, (_, index) => {
    const [red = 0, green = 0, blue = 0] = rgb.subarray(3 * index, 3 * index + 3);
    return Math.round(0.299 * red + 0.587 * green + 0.114 * blue);
  });
}

/** Three bytes a dot: red, green, blue, each 0 to 255. */
export function toRgb({ depth, dots }: Picture): Uint8Array {
  const rgb = new Uint8Array(dots.length * 3);
  const { red, green, blue } = depth.kind === "colour" ? depth : { red: 1, green: 1, blue: 1 };
  dots.forEach((value, index) => {
    const bits = depth.kind === "colour" ? value : value * 7;
    rgb[3 * index] = level(bits >> (green + blue), red);
    rgb[3 * index + 1] = level(bits >> blue, green);
    rgb[3 * index + 2] = level(bits, blue);
  });
  return rgb;
}

function level(bits: number, width: number): number {
  const most = (1 << width) - 1;
  return width === 0 ? 0 : Math.round(((bits & most) * 255) / most);
}
