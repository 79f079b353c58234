import { type Rational, ZERO, dividedBy, inverse, isZero, minus, plus, times } from "./rational.js";

/** A resistor between two nodes, in ohms above zero. */
export interface Branch {
  readonly between: readonly [string, string];
  readonly ohms: Rational;
}

/** Resistors, and the nodes whose voltage is given. An output with resistance is a given node behind a branch. */
export interface ResistorNetwork {
  readonly branches: readonly Branch[];
  /** Volts by node. */
  readonly given: ReadonlyMap<string, Rational>;
}

/**
 * The voltage of every node, exactly: the currents into a node add up to zero (Kirchhoff), which is one linear equation for
 * each node that is not given. A node with no way to a given one is at no voltage in particular and is left out.
 * Throws RangeError for a resistance that is not above zero.
 */
export function nodeVolts({ branches, given }: ResistorNetwork): ReadonlyMap<string, Rational> {
  for (const { ohms, between } of branches) {
    if (ohms.over <= 0n) throw new RangeError(`no resistance between ${between.join(" and ")}`);
  }
  const reached = nodesReached(branches, given);
  const unknown = [...reached].filter((node) => !given.has(node));
  const row = new Map(unknown.map((node, index) => [node, index]));
  const width = unknown.length;
  // The equations: conductances against unknown nodes, and in the last column the current from given ones.
  const matrix = unknown.map(() => Array.from({ length: width + 1 }, () => ZERO));
  const add = (at: number, column: number, value: Rational) => {
    const cells = matrix[at];
    if (cells) cells[column] = plus(cells[column] ?? ZERO, value);
  };
  for (const { between, ohms } of branches) {
    const siemens = inverse(ohms);
    for (const [here, there] of [between, [between[1], between[0]] as const]) {
      const at = row.get(here);
      if (at === undefined || here === there) continue;
      add(at, at, siemens);
      const volts = given.get(there);
      const other = row.get(there);
      if (volts) add(at, width, times(siemens, volts));
      else if (other !== undefined) add(at, other, minus(ZERO, siemens));
    }
  }
  const solved = solve(matrix);
  return new Map([
    ...[...given].filter(([node]) => reached.has(node)),
    ...unknown.map((node, index): [string, Rational] => [node, solved[index] ?? ZERO]),
  ]);
}

/** Volts over amperes seen at a node while all given nodes stand still (Thévenin); undefined for a node without a way to one. */
export function resistanceAt({ branches, given }: ResistorNetwork, node: string): Rational | undefined {
  if (given.has(node)) return ZERO;
  // With one volt behind one ohm at the node and nothing elsewhere, it takes R over R + 1 volts.
  const probe = "the probe";
  const volts = nodeVolts({
    branches: [...branches, { between: [probe, node], ohms: { over: 1n, under: 1n } }],
    given: new Map([
      ...[...given.keys()].map((key): [string, Rational] => [key, ZERO]),
      [probe, { over: 1n, under: 1n }],
    ]),
  }).get(node);
  const rest = volts && minus({ over: 1n, under: 1n }, volts);
  return volts && rest && !isZero(rest) ? dividedBy(volts, rest) : undefined;
}

function nodesReached(branches: readonly Branch[], given: ReadonlyMap<string, Rational>): Set<string> {
  const neighbours = new Map<string, string[]>();
  const note = (from: string, to: string) => {
    const list = neighbours.get(from);
    if (list) list.push(to);
    else neighbours.set(from, [to]);
  };
  for (const { between } of branches) {
    note(between[0], between[1]);
    note(between[1], between[0]);
  }
  const reached = new Set(given.keys());
  const waiting = [...reached];
  for (let node = waiting.pop(); node !== undefined; node = waiting.pop()) {
    for (const next of neighbours.get(node) ?? []) {
      if (reached.has(next)) continue;
      reached.add(next);
      waiting.push(next);
    }
  }
  return reached;
}

/**
 * Gauss-Jordan elimination of equations whose last column is the right side. The matrix of a network in which every node
 * has a way to a given one is positive definite, so no pivot is zero and no rows change places.
 */
function solve(matrix: Rational[][]): readonly Rational[] {
  matrix.forEach((cells, pivot) => {
    const head = cells[pivot] ?? ZERO;
    for (let column = pivot; column < cells.length; column++) {
      cells[column] = dividedBy(cells[column] ?? ZERO, head);
    }
    matrix.forEach((other, index) => {
      const factor = other[pivot] ?? ZERO;
      if (index === pivot || isZero(factor)) return;
      for (let column = pivot; column < other.length; column++) {
        other[column] = minus(other[column] ?? ZERO, times(factor, cells[column] ?? ZERO));
      }
    });
  });
  return matrix.map((cells) => cells.at(-1) ?? ZERO);
}
