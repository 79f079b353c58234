import { type Bit, type BitGraph, Op, TRUE } from "./bit-graph.js";

/** A bit inside a local. */
export interface Field {
  readonly local: number;
  readonly index: number;
}

/** A part of a word; the word is all its parts together. `mask` tells the places that a part fills. */
export type Term = { readonly mask: number } & (
  | { readonly kind: "constant" }
  /** Bits of a local, so many places to the left. */
  | { readonly kind: "field"; readonly local: number; readonly shift: number }
  | { readonly kind: "bit"; readonly bit: Bit; readonly place: number }
  | { readonly kind: "not"; readonly of: readonly Bit[] }
  /** All with one and the same bit. */
  | { readonly kind: "and" | "or" | "xor"; readonly of: readonly Bit[]; readonly by: Bit }
  | { readonly kind: "choose"; readonly then: readonly Bit[]; readonly otherwise: readonly Bit[]; readonly by: Bit }
);

/** Fewer bits than this are not worth an operation on a word. */
const FEWEST = 3;

/**
 * How a word is put together from bits of a graph: bits that stand in one local at the same distance are taken together, and
 * bits that are made by the same operation with the same bit are made all at once.
 */
export function planWord(
  graph: BitGraph,
  bits: readonly Bit[],
  fieldOf: (bit: Bit) => Field | undefined,
): readonly Term[] {
  const terms: Term[] = [];
  const left = new Map<number, Bit>(); // by place
  let constant = 0;
  const fields = new Map<string, { readonly local: number; readonly shift: number; mask: number }>();
  bits.forEach((bit, place) => {
    if (bit <= TRUE) {
      if (bit === TRUE) constant |= 1 << place;
      return;
    }
    const field = fieldOf(bit);
    if (!field) {
      left.set(place, bit);
      return;
    }
    const shift = place - field.index;
    const key = `${field.local} ${shift}`;
    const known = fields.get(key) ?? { local: field.local, shift, mask: 0 };
    known.mask |= 1 << place;
    fields.set(key, known);
  });
  if (constant !== 0) terms.push({ kind: "constant", mask: constant });
  for (const field of fields.values()) terms.push({ kind: "field", ...field });

  for (;;) {
    const best = mostCommon(graph, left);
    if (!best || best.places.length < FEWEST) break;
    terms.push(together(graph, left, best, bits.length));
    for (const place of best.places) left.delete(place);
  }
  for (const [place, bit] of left) terms.push({ kind: "bit", bit, place, mask: 1 << place });
  return terms;
}

interface Group {
  readonly op: number;
  readonly by: Bit;
  readonly places: number[];
}

/** The operation, with the bit that all have in common, that makes most of the bits left. */
function mostCommon(graph: BitGraph, left: ReadonlyMap<number, Bit>): Group | undefined {
  const groups = new Map<string, Group>();
  const add = (op: number, by: Bit, place: number) => {
    const key = `${op} ${by}`;
    const group = groups.get(key) ?? { op, by, places: [] };
    group.places.push(place);
    groups.set(key, group);
  };
  for (const [place, bit] of left) {
    const op = graph.op[bit] ?? Op.constant;
    if (op === Op.not) add(op, 0, place);
    if (op === Op.choose) add(op, graph.a[bit] ?? 0, place);
    if (op === Op.and || op === Op.or || op === Op.xor) {
      add(op, graph.a[bit] ?? 0, place);
      add(op, graph.b[bit] ?? 0, place);
    }
  }
  let best: Group | undefined;
  for (const group of groups.values()) if (!best || group.places.length > best.places.length) best = group;
  return best;
}

function together(graph: BitGraph, left: ReadonlyMap<number, Bit>, { op, by, places }: Group, width: number): Term {
  const mask = places.reduce((sum, place) => sum | (1 << place), 0);
  const spread = (operand: (bit: Bit) => Bit): readonly Bit[] => {
    const word: Bit[] = Array.from({ length: width }, () => 0);
    for (const place of places) word[place] = operand(left.get(place) ?? 0);
    return word;
  };
  const [a, b, c] = [graph.a, graph.b, graph.c].map((list) => (bit: Bit) => list[bit] ?? 0);
  if (!a || !b || !c) throw new RangeError("no operands");
  if (op === Op.not) return { kind: "not", of: spread(a), mask };
  if (op === Op.choose) return { kind: "choose", then: spread(b), otherwise: spread(c), by, mask };
  const other = spread((bit) => (a(bit) === by ? b(bit) : a(bit)));
  const kind = op === Op.and ? "and" : op === Op.or ? "or" : "xor";
  return { kind, of: other, by, mask };
}
