import type { Simulator, Tables } from "../simulation/index.js";
import type { Verdict } from "../timing/index.js";
import { chainEnd } from "./chain-end.js";

/** One fight of two outputs on a net, in femtoseconds. */
export interface Fight {
  readonly from: number;
  readonly to: number;
}

/** Tells the fights of contention verdicts apart: which output took the net, and which let go of it. */
export class FightWatch {
  readonly #simulator: Simulator;
  /** When the output that takes over begins to drive, and when the other lets go, by verdict. */
  readonly #hands = new Map<Verdict, { readonly taken: Set<number>; readonly left: Set<number> }>();

  constructor(tables: Tables, simulator: Simulator, verdicts: readonly Verdict[]) {
    this.#simulator = simulator;
    for (const verdict of verdicts) {
      const { chains, rule, margin } = verdict;
      if (rule !== "contention" || !chains || margin === undefined) continue;
      const [leaves, takes] = [
        chainEnd(tables, chains.earlier, chains.between.earlier),
        chainEnd(tables, chains.later, chains.between.later),
      ];
      if (leaves?.kind !== "driver" || takes?.kind !== "driver") continue;
      const hands = { taken: new Set<number>(), left: new Set<number>() };
      simulator.observeDriver(takes.driver, (time) => hands.taken.add(time));
      simulator.observeDriver(leaves.driver, (time) => hands.left.add(time));
      this.#hands.set(verdict, hands);
    }
  }

  /** The longest fight that is the verdict's; where no time decides, any of the two outputs. */
  longest(verdict: Verdict): Fight | undefined {
    const { now, contentions } = this.#simulator;
    const hands = this.#hands.get(verdict);
    const { net, chip, pin, reference } = verdict;
    let longest: Fight | undefined;
    for (const { net: where, from, to = now, pins } of [...contentions.ended, ...contentions.open]) {
      if (where.name !== net || (longest && to - from <= longest.to - longest.from)) continue;
      const isOwn = hands
        ? hands.taken.has(from) && hands.left.has(to)
        : [`${chip} ${pin}`, reference].every((output) => pins.includes(output.trim()));
      if (isOwn) longest = { from, to };
    }
    return longest;
  }
}
