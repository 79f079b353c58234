import type { Circuit } from "../circuit/index.js";
import { type Clock, type Proof, type Verdict, buildModel } from "../timing/index.js";
import { NotTold, Race } from "./bundle.js";
import { Cases, TooManyCases } from "./decisions.js";
import { type Decided, decide } from "./decide.js";
import { Programme } from "./programme.js";
import { withExactMargin, withoutPulse } from "./settled-verdict.js";
import { TypicalRun } from "./typical-run.js";
import { Unknowns } from "./unknowns.js";
import { type Certainty, MORE_TICKS, Unrolling } from "./unrolling.js";
import { Work } from "./work.js";

/** Cases of one pair of bundles before it is given up. */
const MOST_CASES = 400;

/** The exact stage for one circuit and its proof. */
export class ExactStage {
  readonly work: Work;
  readonly unrolling: Unrolling;
  readonly #cases: Cases;
  readonly #programme: Programme;

  constructor(circuit: Circuit, { leadTicks, cycleTicks }: Pick<Proof, "leadTicks" | "cycleTicks">, clock?: Clock) {
    this.work = new Work(clock);
    const model = buildModel(circuit);
    const unknowns = new Unknowns(model.time.period, model.time.duty);
    this.#programme = new Programme(unknowns, this.work);
    this.#cases = new Cases(unknowns, this.#programme, MOST_CASES);
    const ticks = leadTicks + cycleTicks;
    this.unrolling = new Unrolling(model, unknowns, this.#cases, new TypicalRun(circuit, ticks + MORE_TICKS), ticks);
  }

  /** The verdict as it is decided case by case, or as it was where that says nothing more. */
  settle(verdict: Verdict): Verdict {
    if (verdict.rule === "glitch") {
      return this.#isSureAt(verdict) ? withoutPulse(verdict, this.unrolling.unknowns, this.#sure()) : verdict;
    }
    const decided = this.decide(verdict);
    return "why" in decided ? verdict : withExactMargin(verdict, decided, this.unrolling.unknowns, this.#sure());
  }

  decide(verdict: Verdict): Decided | { readonly why: string } {
    return decide(this.unrolling, this.#cases, this.#programme, verdict);
  }

  /** Whether every edge at the place of a glitch is known to come on every board. */
  #isSureAt({ chip: ref, pin: name }: Verdict): boolean {
    const places = this.unrolling.model.chips.flatMap((chip) => {
      const pin = chip.chip.ref === ref ? chip.pins.find((one) => one.name === name) : undefined;
      return pin ? [{ chip, pin }] : [];
    });
    try {
      for (const { chip, pin } of places) this.unrolling.sureAt(chip, pin);
      return places.length > 0;
    } catch (error) {
      if (error instanceof NotTold || error instanceof Race || error instanceof TooManyCases) return false;
      throw error;
    }
  }

  #sure(): readonly Certainty[] {
    return [...this.unrolling.certainties.values()].flatMap((known) => (known === "race" ? [] : [known]));
  }
}
