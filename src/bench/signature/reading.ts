/** What a meter, a counter or a probe finds at one place of one board. */
export interface Reading {
  /** Rises a second. */
  readonly hertz: number;
  /** Share of the time for which it is high, 0 to 1. */
  readonly duty: number;
  /** Share of the time for which nothing drives it, and for which outputs fight over it. */
  readonly open: number;
  readonly fight: number;
  /** It never comes to rest: some loop swings faster than the clock. */
  readonly rings: boolean;
}

/** A place in both of the ways in which what is open may be decided: equal where it does not matter. */
export type Readings = readonly [Reading, Reading];

/** Numbers of a node in a table: the node, then five of each way. */
const ROW = 11;

/** Readings of some nodes of one board, as numbers that can be sent and kept. Rows are in the order of their nodes. */
export class ReadingTable {
  readonly numbers: Float32Array;

  constructor(numbers: Float32Array) {
    this.numbers = numbers;
  }

  static of(rows: readonly (readonly [node: number, readings: Readings])[]): ReadingTable {
    const numbers = new Float32Array(rows.length * ROW);
    [...rows]
      .sort(([a], [b]) => a - b)
      .forEach(([node, ways], row) => {
        numbers[row * ROW] = node;
        ways.forEach(({ hertz, duty, open, fight, rings }, way) => {
          numbers.set([hertz, duty, open, fight, rings ? 1 : 0], row * ROW + 1 + 5 * way);
        });
      });
    return new ReadingTable(numbers);
  }

  get nodes(): readonly number[] {
    return Array.from({ length: this.numbers.length / ROW }, (_, row) => this.numbers[row * ROW] ?? 0);
  }

  /** The readings at a node; undefined where the table has none. */
  at(node: number): Readings | undefined {
    let [low, high] = [0, this.numbers.length / ROW];
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.numbers[middle * ROW] ?? 0) < node) low = middle + 1;
      else high = middle;
    }
    if (this.numbers[low * ROW] !== node) return undefined;
    return [this.way(low, 0), this.way(low, 1)];
  }

  private way(row: number, way: 0 | 1): Reading {
    const at = row * ROW + 1 + 5 * way;
    const [hertz = 0, duty = 0, open = 0, fight = 0, rings = 0] = this.numbers.subarray(at, at + 5);
    return { hertz, duty, open, fight, rings: rings === 1 };
  }
}

/** Readings that no instrument tells apart. Our own choice: a counter's last digits, a meter's per cent. */
export const SAME_RATE = 0.004;
export const SAME_DUTY = 0.03;

export function isSameReading(a: Reading, b: Reading): boolean {
  const rate = Math.max(a.hertz, b.hertz);
  return (
    Math.abs(a.hertz - b.hertz) <= SAME_RATE * rate &&
    Math.abs(a.duty - b.duty) <= SAME_DUTY &&
    Math.abs(a.open - b.open) <= 2 * SAME_DUTY &&
    Math.abs(a.fight - b.fight) <= 2 * SAME_DUTY &&
    a.rings === b.rings
  );
}
