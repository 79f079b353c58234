import { CELLS_HIGH, CELLS_WIDE } from "../signature/screen-cells.js";

/** A picture from a camera: red, green and blue of each dot, row by row. */
export interface Photograph {
  readonly width: number;
  readonly height: number;
  readonly rgb: Uint8Array;
}

/** A place in a photograph, in dots from the top left. */
export type Corner = readonly [x: number, y: number];
/** Of the picture on the screen, clockwise from the top left. */
export type Corners = readonly [Corner, Corner, Corner, Corner];

/** Points that are taken for each cell, across and down. */
const POINTS = 3;

/** Straightens a photograph by the corners of the picture in it, reduced to the cells of a signature. */
export function straighten({ width, height, rgb }: Photograph, corners: Corners): Float64Array {
  const map = projection(corners);
  const cells = new Float64Array(CELLS_WIDE * CELLS_HIGH * 3);
  for (let y = 0; y < CELLS_HIGH * POINTS; y++) {
    for (let x = 0; x < CELLS_WIDE * POINTS; x++) {
      const [u, v] = map((x + 0.5) / (CELLS_WIDE * POINTS), (y + 0.5) / (CELLS_HIGH * POINTS));
      const [column, row] = [Math.round(u), Math.round(v)];
      if (column < 0 || column >= width || row < 0 || row >= height) continue;
      const cell = (Math.floor(y / POINTS) * CELLS_WIDE + Math.floor(x / POINTS)) * 3;
      for (let colour = 0; colour < 3; colour++) {
        const value = rgb[(row * width + column) * 3 + colour] ?? 0;
        cells[cell + colour] = (cells[cell + colour] ?? 0) + value / (POINTS * POINTS);
      }
    }
  }
  return cells;
}

/** The projection of the unit square onto four corners (a standard construction of plane geometry). */
function projection([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]: Corners): (u: number, v: number) => Corner {
  const [dx1, dx2, sx] = [x1 - x2, x3 - x2, x0 - x1 + x2 - x3];
  const [dy1, dy2, sy] = [y1 - y2, y3 - y2, y0 - y1 + y2 - y3];
  const whole = dx1 * dy2 - dx2 * dy1;
  if (whole === 0) throw new RangeError("the four corners lie on a line");
  const [g, h] = [(sx * dy2 - dx2 * sy) / whole, (dx1 * sy - sx * dy1) / whole];
  return (u, v) => {
    const scale = g * u + h * v + 1;
    return [
      ((x1 - x0 + g * x1) * u + (x3 - x0 + h * x3) * v + x0) / scale,
      ((y1 - y0 + g * y1) * u + (y3 - y0 + h * y3) * v + y0) / scale,
    ];
  };
}
