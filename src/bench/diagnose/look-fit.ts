import { CELLS_HIGH, CELLS_WIDE } from "../signature/screen-cells.js";

/** Values of a picture: red, green and blue of each cell, row by row. */
const VALUES = CELLS_WIDE * CELLS_HIGH * 3;
/** Parameters of stray light: even, and rising across and down. */
const STRAY = 3;
/**
 * Then those of the light (even, across, down, both) on the softened look, one of the look itself, for how sharp the photograph is, and
 * eight of how far its corners are off: four each for across and down.
 */
const FITTED = STRAY + 4 + 1 + 8;

/** Where the centre of each cell lies on the screen, -1 to 1 from left to right and from top to bottom. */
const ACROSS = Float64Array.from({ length: CELLS_WIDE }, (_, x) => (2 * x + 1) / CELLS_WIDE - 1);
const DOWN = Float64Array.from({ length: CELLS_HIGH }, (_, y) => (2 * y + 1) / CELLS_HIGH - 1);

/** What of a photograph a look explains. */
export interface Fit {
  /** Sum of the squares of what is left. */
  readonly residue: number;
  /** How much light the look gives; absent where it has none to give. */
  readonly gain?: number;
  readonly parameters: number;
}

/** A look made ready to be fitted: what hangs on it alone is worked out once. */
export class LookFit {
  private readonly cells: Uint8Array | undefined;
  private readonly soft: Float32Array;
  private readonly normal: Float64Array;
  private readonly size: number;

  /** `cells`: absent where there is no picture. */
  constructor(cells: Uint8Array | undefined) {
    this.cells = cells?.some((value) => value > 0) ? cells : undefined;
    this.soft = this.cells ? softened(this.cells) : new Float32Array(0);
    this.size = this.cells ? FITTED : STRAY;
    this.normal = new Float64Array(this.size * this.size);
    const row = new Float64Array(FITTED);
    this.each(() => {
      for (let one = 0; one < this.size; one++) {
        const own = row[one] ?? 0;
        if (own === 0) continue;
        for (let other = one; other < this.size; other++) {
          const at = one * this.size + other;
          this.normal[at] = (this.normal[at] ?? 0) + own * (row[other] ?? 0);
        }
      }
    }, row);
  }

  /** Least squares by the normal equations, over all values of a straightened photograph. */
  fit(photograph: Float64Array): Fit {
    const { size } = this;
    const right = new Float64Array(FITTED);
    const row = new Float64Array(FITTED);
    let whole = 0;
    this.each((value) => {
      const target = photograph[value] ?? 0;
      whole += target * target;
      for (let one = 0; one < size; one++) right[one] = (right[one] ?? 0) + (row[one] ?? 0) * target;
    }, row);
    const rows = Array.from({ length: size }, (_, one) =>
      Float64Array.from({ length: size + 1 }, (_none, other) =>
        other === size
          ? (right[one] ?? 0)
          : (this.normal[Math.min(one, other) * size + Math.max(one, other)] ?? 0) + (one === other ? RIDGE : 0),
      ),
    );
    const found = solve(rows);
    const told = found.reduce((sum, value, place) => sum + value * (right[place] ?? 0), 0);
    return {
      residue: Math.max(0, whole - told),
      ...(this.cells && { gain: (found[STRAY] ?? 0) + (found[STRAY + 4] ?? 0) }),
      parameters: size,
    };
  }

  /** Goes through all values with what each parameter adds to it. */
  private each(visit: (value: number) => void, row: Float64Array): void {
    const { cells, soft } = this;
    const line = CELLS_WIDE * 3;
    row[0] = 1;
    for (let y = 0; y < CELLS_HIGH; y++) {
      const v = DOWN[y] ?? 0;
      const [above, below] = [y === 0 ? 0 : line, y === CELLS_HIGH - 1 ? 0 : line];
      row[2] = v;
      for (let x = 0; x < CELLS_WIDE; x++) {
        const u = ACROSS[x] ?? 0;
        const [before, after] = [x === 0 ? 0 : 3, x === CELLS_WIDE - 1 ? 0 : 3];
        row[1] = u;
        for (let colour = 0; colour < 3; colour++) {
          const at = y * line + x * 3 + colour;
          if (cells) {
            const own = soft[at] ?? 0;
            row[3] = own;
            row[4] = own * u;
            row[5] = own * v;
            row[6] = own * u * v;
            row[7] = (cells[at] ?? 0) / 255;
            const across = ((soft[at + after] ?? 0) - (soft[at - before] ?? 0)) / 2;
            row[8] = across;
            row[9] = across * u;
            row[10] = across * v;
            row[11] = across * u * v;
            const down = ((soft[at + below] ?? 0) - (soft[at - above] ?? 0)) / 2;
            row[12] = down;
            row[13] = down * u;
            row[14] = down * v;
            row[15] = down * u * v;
          }
          visit(at);
        }
      }
    }
  }
}

/** Keeps parameters that the look says nothing of at nought. */
const RIDGE = 1e-3;

/** Lenses and hands blur: each cell with its neighbours, as a share of full light. */
function softened(cells: Uint8Array): Float32Array {
  const line = CELLS_WIDE * 3;
  const across = Float32Array.from(cells, (own, at) => {
    const x = Math.floor(at / 3) % CELLS_WIDE;
    return ((x > 0 ? (cells[at - 3] ?? 0) : own) + 2 * own + (x < CELLS_WIDE - 1 ? (cells[at + 3] ?? 0) : own)) / 1020;
  });
  return across.map((own, at) => {
    const [above, below] = [
      at >= line ? (across[at - line] ?? 0) : own,
      at < VALUES - line ? (across[at + line] ?? 0) : own,
    ];
    return (above + 2 * own + below) / 4;
  });
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
