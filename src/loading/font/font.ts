/** One drawn letter. */
export interface Glyph {
  readonly width: number;
  readonly height: number;
  /** Dots from the pen to the left edge, and from the base line up to the bottom edge; below it they are negative. */
  readonly left: number;
  readonly bottom: number;
  /** Dots that the pen goes on. */
  readonly advance: number;
  /** One byte a dot, row by row from the top; 1 is drawn. */
  readonly dots: Uint8Array;
}

export interface Font {
  readonly name: string;
  /** Dots of a line above and below the base line. */
  readonly ascent: number;
  readonly descent: number;
  /** Widest advance: the width of a cell. */
  readonly width: number;
  /** By Unicode code point, or by the font's own code where it says nothing of Unicode. */
  readonly glyphs: ReadonlyMap<number, Glyph>;
}

/** Rows of bits, each padded to whole bytes with the left dot in the most significant bit, as a byte a dot. */
export function unpackRows(bytes: ArrayLike<number>, width: number, height: number): Uint8Array {
  const stride = Math.ceil(width / 8);
  const dots = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      dots[y * width + x] = ((bytes[y * stride + (x >> 3)] ?? 0) >> (7 - (x & 7))) & 1;
    }
  }
  return dots;
}

/** The glyph for a letter; that for U+FFFD or `?` where the font does not have it. */
export function glyphOf({ glyphs }: Font, code: number): Glyph | undefined {
  return glyphs.get(code) ?? glyphs.get(0xfffd) ?? glyphs.get(0x3f);
}
