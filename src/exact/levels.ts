import { type Logic, type Model, type NetModel, EITHER, HIGH, LOW, UNDRIVEN } from "../timing/index.js";
import { NotTold, type Word } from "./bundle.js";
import type { Input } from "./output-cluster.js";

/** What an output shows where its inputs are known. Throws NotTold. */
export function wordOf(value: Logic, enable: Logic | undefined, sets: (slot: number) => number): Word {
  const on = enable ? enable.possible(sets) : HIGH;
  if (on === LOW) return 2;
  const level = value.possible(sets);
  if (on !== HIGH || (level !== LOW && level !== HIGH)) throw new NotTold("a level that is not known");
  return level === HIGH ? 1 : 0;
}

/** A word as a set of levels; what nothing drives may read as either. */
export function setOf(word: Word | undefined): number {
  return word === 0 ? LOW : word === 1 ? HIGH : word === 2 ? UNDRIVEN : EITHER;
}

/** Levels that an input may have on its way: a bundle of several edges goes to either. */
export function levelsIn({ bundles }: Input): number {
  return bundles.some(({ isOneEdge }) => !isOneEdge) ? EITHER : 0;
}

/** The nets whose levels rest on what comes from outside or on what a memory holds. */
export function unknownNets({ nets, chips }: Model): ReadonlySet<NetModel> {
  const found = new Set(
    nets.filter(({ net: { input } }) => input !== undefined && input.timing.kind !== "power-up only"),
  );
  for (let before = -1; before !== found.size;) {
    before = found.size;
    for (const { memory, pins, outputs } of chips) {
      if (memory || pins.some(({ net }) => found.has(net))) for (const { net } of outputs) found.add(net);
    }
  }
  return found;
}
