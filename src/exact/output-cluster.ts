import type { Change, Edge } from "../parts/index.js";
import { type Bundle, type OutputEdge, type Word } from "./bundle.js";
import type { Orders } from "./decisions.js";
import { type Linear, plus } from "./unknowns.js";

/** What one driver, or one storage bit, brings to a section: its edges near each other, and what it shows before them. */
export interface Input {
  /** The input pin from which the arcs of its edges start: of a storage bit that of its clock. */
  readonly pin: string;
  /** Where the level counts: several inputs of one slot are the drivers of one net. */
  readonly slot: number;
  /** The wire to the pin; absent for storage. */
  readonly wire: number | undefined;
  readonly before: Word;
  readonly bundles: readonly Bundle[];
  /** Whether its edges have the sense of the clock's edge that stores, not that of the level. */
  readonly storedAt: Edge | undefined;
}

/** How an output answers to its inputs. */
export interface Answering {
  /** What it shows while its inputs are so, by input. Throws NotTold. */
  shows(levels: readonly Word[]): Word;
  /** The unknown of an arc. Throws NotTold where no figure is on record. */
  arc(pin: string, edge: Edge, change: Change): number;
}

interface Arriving {
  readonly input: number;
  readonly time: Linear;
  readonly after: Word;
}

/**
 * The edges of an output that follow from some edges at its inputs, in the order that they come in. An output edge that
 * would not come after the one before it cancels with it.
 */
export function edgesOf(inputs: readonly Input[], answering: Answering, orders: Orders): readonly OutputEdge[] {
  const queues = inputs.map((input, index) => arrivingAt(input, index, orders));
  const next = inputs.map(() => 0);
  const levels = inputs.map(({ before }) => before);
  const out: OutputEdge[] = [];
  const base = answering.shows(levels);
  for (;;) {
    const heads = queues.flatMap((queue, input) => queue[next[input] ?? 0] ?? []);
    const [first] = heads;
    if (!first) return out;
    const come = heads.reduce((a, b) => (orders.isBefore(a.time, b.time, true) ? a : b), first);
    next[come.input] = (next[come.input] ?? 0) + 1;
    const was = levels[come.input];
    levels[come.input] = come.after;
    const word = answering.shows(levels);
    const edge = inputs[come.input]?.storedAt ?? (was === 0 || come.after === 1 ? "rise" : "fall");
    push(
      out,
      base,
      word,
      (change) => plus(come.time, answering.arc(inputs[come.input]?.pin ?? "", edge, change)),
      orders,
    );
  }
}

/** Adds the change to what an output now shows, unless it does already; cancels what would come no sooner. */
function push(out: OutputEdge[], base: Word, word: Word, timeOf: (change: Change) => Linear, orders: Orders): void {
  const first = out.at(-1)?.after ?? base;
  if (word === first) return;
  const time = timeOf(changeOf(first, word));
  for (;;) {
    const last = out.at(-1);
    const shown = last?.after ?? base;
    if (word === shown) return;
    // Of two at the very same time the one before does not stay.
    if (!last || orders.isBefore(last.time, time, false)) {
      out.push({ time, before: shown, after: word });
      return;
    }
    out.pop();
  }
}

function arrivingAt({ bundles, wire }: Input, input: number, orders: Orders): readonly Arriving[] {
  return bundles.flatMap((bundle) =>
    bundle.edges(orders).map(({ time, after }): Arriving => {
      return { input, time: wire === undefined ? time : plus(time, wire), after };
    }),
  );
}

function changeOf(before: Word, after: Word): Change {
  if (before === 2) return after === 1 ? "z-to-high" : "z-to-low";
  if (after === 2) return before === 1 ? "high-to-z" : "low-to-z";
  return after === 1 ? "rise" : "fall";
}
