/** A picture in full colour: red, green, blue and opacity, a byte each, row by row from the top left. */
export interface ColourImage {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

/** Dots that a picture may have: far above any camera's, far below what would make the machine wait. */
export const MOST_DOTS = 64_000_000;

/** Why a size is refused; undefined where it is sound. */
export function problemOfSize(width: number, height: number): string | undefined {
  const isWhole = [width, height].every((side) => Number.isInteger(side) && side > 0);
  if (!isWhole) return `a picture of ${width} x ${height} dots cannot be`;
  return width * height > MOST_DOTS
    ? `has ${width} x ${height} dots; more than ${MOST_DOTS / 1e6} million are not taken`
    : undefined;
}
