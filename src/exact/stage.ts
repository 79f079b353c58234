import type { Circuit } from "../circuit/index.js";
import { type Clock, type Proof, type Verdict, buildModel } from "../timing/index.js";
import { NotTold, Race } from "./bundle.js";
import { Cases, TooManyCases } from "./decisions.js";
import { type Decided, NOTHING_TO_DECIDE, decide } from "./decide.js";
import type { Place } from "./pairs.js";
import { Programme } from "./programme.js";
import { withExactMargin, withoutPulse } from "./settled-verdict.js";
import { TypicalRun } from "./typical-run.js";
import { Unknowns } from "./unknowns.js";
import { widthDemands } from "./width-demands.js";
import { type Certainty, MORE_TICKS, Unrolling } from "./unrolling.js";
import { Work } from "./work.js";

/** Cases of one pair of bundles before it is given up. */
const MOST_CASES = 400;

type DecidedProof = Pick<Proof, "leadTicks" | "cycleTicks" | "verdicts">;

/** The exact stage for one circuit and its proof. */
export class ExactStage {
  readonly work: Work;
  readonly unrolling: Unrolling;
  readonly #cases: Cases;
  readonly #programme: Programme;
  readonly #verdicts: readonly Verdict[];

  constructor(circuit: Circuit, { leadTicks, cycleTicks, verdicts }: DecidedProof, clock?: Clock) {
    this.#verdicts = verdicts;
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
      const isNone = this.#isSureAt(verdict) && this.#areWidthsDecided(verdict);
      return isNone ? withoutPulse(verdict, this.unrolling.unknowns, this.#sure()) : verdict;
    }
    const decided = this.decide(verdict);
    return "why" in decided ? verdict : withExactMargin(verdict, decided, this.unrolling.unknowns, this.#sure());
  }

  decide(verdict: Place): Decided | { readonly why: string } {
    return decide(this.unrolling, this.#cases, this.#programme, verdict);
  }

  /**
   * Whether it is decided how far apart edges at the place of a glitch come. The bounds hold nothing against a change that may
   * be a pulse, so a width beside it is judged nowhere but here.
   */
  #areWidthsDecided({ chip, pin }: Verdict): boolean {
    return widthDemands(this.unrolling.model, chip, pin).every(({ rule, symbol, required }) => {
      const decided = this.decide({ rule, symbol, chip, pin, reference: pin, net: "" });
      if ("why" in decided) return decided.why === NOTHING_TO_DECIDE;
      const isJudged = this.#verdicts.some(
        (one) => one.rule === rule && one.symbol === symbol && one.chip === chip && one.pin === pin,
      );
      return isJudged || decided.least >= required;
    });
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
