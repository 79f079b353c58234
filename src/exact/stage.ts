import type { Circuit } from "../circuit/index.js";
import { type Clock, type Proof, type Verdict, buildModel } from "../timing/index.js";
import { NotTold, Race } from "./bundle.js";
import { Cases, TooManyCases } from "./decisions.js";
import { type Decided, decide } from "./decide.js";
import { Programme } from "./programme.js";
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

  /** What shows that every edge at the place of a glitch comes on every board; undefined where that cannot be told. */
  sureAt({ chip: ref, pin: name }: Verdict): readonly Certainty[] | undefined {
    const { model, certainties } = this.unrolling;
    try {
      const places = model.chips.flatMap((chip) => {
        const pin = chip.chip.ref === ref ? chip.pins.find((one) => one.name === name) : undefined;
        return pin ? [{ chip, pin }] : [];
      });
      if (places.length === 0) return undefined;
      for (const { chip, pin } of places) this.unrolling.sureAt(chip, pin);
      return [...certainties.values()].flatMap((known) => (known === "race" ? [] : [known]));
    } catch (error) {
      if (error instanceof NotTold || error instanceof Race || error instanceof TooManyCases) return undefined;
      throw error;
    }
  }

  decide(verdict: Verdict): Decided | { readonly why: string } {
    return decide(this.unrolling, this.#cases, this.#programme, verdict);
  }
}
