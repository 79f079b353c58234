import { type Picture, blackPicture } from "./picture.js";

/** A picture with its repeated dots taken together. */
export interface Reduced {
  readonly picture: Picture;
  /** Number of reduced dots whose repeats are not all equal; the value kept is that of the top left one. */
  readonly unequal: number;
  /** The first of them in reading order, in dots of the reduced picture; at most ten. */
  readonly where: readonly { readonly x: number; readonly y: number }[];
}

const MOST_LISTED = 10;

/**
 * Takes every `across` by `down` dots together: a raster of 640 by 480 that shows each dot of a picture on 2 by 2 becomes 320
 * by 240. Says where the repeats differ. Throws RangeError when the sides do not divide.
 */
export function reduce(picture: Picture, across: number, down: number): Reduced {
  const [width, height] = [picture.width / across, picture.height / down];
  if (!Number.isInteger(width) || !Number.isInteger(height)) {
    throw new RangeError(
      `${picture.width} by ${picture.height} dots do not divide into repeats of ${across} by ${down}`,
    );
  }

  const reduced = blackPicture(width, height, picture.depth);
  const where: { x: number; y: number }[] = [];
  let unequal = 0;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const start = y * down * picture.width + x * across;
      reduced.dots[y * width + x] = picture.dots[start] ?? 0;
      if (isUniform(picture, start, across, down)) continue;
      if (unequal < MOST_LISTED) where.push({ x, y });
      unequal++;
    }
  }
  return { picture: reduced, unequal, where };
}

function isUniform({ dots, width }: Picture, start: number, across: number, down: number): boolean {
  for (let y = 0; y < down; y++) {
    for (let x = 0; x < across; x++) if (dots[start + y * width + x] !== dots[start]) return false;
  }
  return true;
}
