import { CELLS_HIGH, CELLS_WIDE } from "../signature/screen-cells.js";
import type { Look } from "./gallery.js";

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

/** A look and how well it explains a photograph: the lower the better. */
export interface Match {
  readonly look: Look;
  readonly misfit: number;
}

/** Parameters of light and of stray light that are fitted. */
const FITTED = 7;

/**
 * Looks in the order in which they explain a straightened photograph. Each is fitted with a light that varies over the screen
 * and stray light: least squares; how many parameters that took counts against it (the Bayesian information criterion).
 */
export function matchLooks(cells: Float64Array, looks: readonly Look[]): readonly Match[] {
  const count = cells.length;
  return looks
    .map((look): Match => {
      const own = look.screen.locked ? softened(look.screen.cells) : new Float64Array(count);
      const isDark = own.every((value) => value < 1);
      const { residue, gain } = fit(cells, own, isDark ? 3 : FITTED);
      // A look that would have to be turned over is none.
      const turned = !isDark && gain <= 0 ? count * Math.log(4) : 0;
      return { look, misfit: count * Math.log(residue / count + 1) + (isDark ? 3 : FITTED) * Math.log(count) + turned };
    })
    .sort((a, b) => a.misfit - b.misfit);
}

/** Lenses and hands blur: each cell with its neighbours. */
function softened(cells: Uint8Array): Float64Array {
  const soft = new Float64Array(cells.length);
  for (let y = 0; y < CELLS_HIGH; y++) {
    for (let x = 0; x < CELLS_WIDE; x++) {
      for (let colour = 0; colour < 3; colour++) {
        let [sum, weight] = [0, 0];
        for (let dy = -1; dy <= 1; dy++) {
          for (let dx = -1; dx <= 1; dx++) {
            const [column, row] = [x + dx, y + dy];
            if (column < 0 || column >= CELLS_WIDE || row < 0 || row >= CELLS_HIGH) continue;
            const own = (2 - Math.abs(dx)) * (2 - Math.abs(dy));
            sum += own * (cells[(row * CELLS_WIDE + column) * 3 + colour] ?? 0);
            weight += own;
          }
        }
        soft[(y * CELLS_WIDE + x) * 3 + colour] = sum / weight;
      }
    }
  }
  return soft;
}

/** Where the centre of each value's cell lies on the screen, -1 to 1 from left to right and from top to bottom. */
const ACROSS = Float64Array.from({ length: CELLS_WIDE * CELLS_HIGH * 3 }, (_, index) => {
  return (2 * (Math.floor(index / 3) % CELLS_WIDE)) / CELLS_WIDE - 1;
});
const DOWN = Float64Array.from({ length: CELLS_WIDE * CELLS_HIGH * 3 }, (_, index) => {
  return (2 * Math.floor(index / 3 / CELLS_WIDE)) / CELLS_HIGH - 1;
});

/** Least squares by the normal equations; of a dark look only the first parameters count, those of stray light. */
function fit(seen: Float64Array, shown: Float64Array, size: number): { residue: number; gain: number } {
  const sums = new Float64Array(FITTED * FITTED);
  const right = new Float64Array(FITTED);
  const features = new Float64Array(FITTED);
  let whole = 0;
  features[0] = 1;
  for (let index = 0; index < seen.length; index++) {
    const [x, y, value, target] = [ACROSS[index] ?? 0, DOWN[index] ?? 0, (shown[index] ?? 0) / 255, seen[index] ?? 0];
    features[1] = x;
    features[2] = y;
    features[3] = value;
    features[4] = value * x;
    features[5] = value * y;
    features[6] = value * x * y;
    whole += target * target;
    for (let row = 0; row < size; row++) {
      const left = features[row] ?? 0;
      right[row] = (right[row] ?? 0) + left * target;
      for (let column = row; column < size; column++) {
        const at = row * FITTED + column;
        sums[at] = (sums[at] ?? 0) + left * (features[column] ?? 0);
      }
    }
  }
  const normal = Array.from({ length: size }, (_, row) =>
    Float64Array.from({ length: size + 1 }, (_none, column) =>
      column === size ? (right[row] ?? 0) : (sums[Math.min(row, column) * FITTED + Math.max(row, column)] ?? 0),
    ),
  );
  const solution = solve(normal);
  const told = solution.reduce((sum, value, place) => sum + value * (right[place] ?? 0), 0);
  return { residue: Math.max(0, whole - told), gain: solution[3] ?? 0 };
}

/** Gaussian elimination with the largest pivot; a column without one gets 0. */
function solve(rows: Float64Array[]): number[] {
  const size = rows.length;
  for (let column = 0; column < size; column++) {
    let pivot = column;
    for (let row = column; row < size; row++) {
      if (Math.abs(rows[row]?.[column] ?? 0) > Math.abs(rows[pivot]?.[column] ?? 0)) pivot = row;
    }
    const [own, other] = [rows[pivot], rows[column]];
    if (!own || !other || Math.abs(own[column] ?? 0) < 1e-9) continue;
    [rows[column], rows[pivot]] = [own, other];
    for (let row = 0; row < size; row++) {
      const target = rows[row];
      if (!target || row === column) continue;
      const factor = (target[column] ?? 0) / (own[column] ?? 1);
      for (let place = column; place <= size; place++)
        target[place] = (target[place] ?? 0) - factor * (own[place] ?? 0);
    }
  }
  return rows.map((row, index) => (Math.abs(row[index] ?? 0) < 1e-9 ? 0 : (row[size] ?? 0) / (row[index] ?? 1)));
}
