import type { Circuit } from "../circuit/index.js";
import { isMissing } from "../parts/index.js";
import { type Clock, type Proof, type Verdict, buildModel } from "../timing/index.js";
import { NotTold, Race } from "./bundle.js";
import { Cases, TooManyCases } from "./decisions.js";
import { type Decided, NOTHING_TO_DECIDE, decide } from "./decide.js";
import type { Place } from "./pairs.js";
import { Programme } from "./programme.js";
import { hasOtherSide, isBetter, withExactMargin, withoutPulse } from "./settled-verdict.js";
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
  readonly #decided = new Map<string, Decided | { readonly why: string }>();

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
    if ("why" in decided) return verdict;
    const isMoved = (one: Verdict, by: Decided) => hasOtherSide(by) && isBetter(one, by);
    const other = this.#otherSideOf(verdict);
    if (other) {
      const [known] = this.#verdicts.filter((one) => isAt(one, other));
      const there = this.decide(other);
      if (isMoved(verdict, decided) && !this.#isJudged(other, known, there)) return verdict;
      // What is no matter of the other side's any more is one of this side's.
      if (known && !("why" in there) && isMoved(known, there)) {
        return withExactMargin(verdict, decided, this.unrolling.unknowns, this.#sure(), true);
      }
    }
    return withExactMargin(verdict, decided, this.unrolling.unknowns, this.#sure());
  }

  /** The rule about changes on the other side of the captures that a verdict is about; undefined of other rules. */
  #otherSideOf({ rule, symbol: _symbol, ...place }: Verdict): Place | undefined {
    if (rule !== "set-up" && rule !== "hold") return undefined;
    return { ...place, ...(rule === "hold" ? { rule: "set-up", symbol: "tsu" } : { rule: "hold", symbol: "th" }) };
  }

  /** Whether what comes on the other side of a capture is held against what is asked there. */
  #isJudged(place: Place, known: Verdict | undefined, decided: Decided | { readonly why: string }): boolean {
    if ("why" in decided) return false;
    if (known) return true;
    const chip = this.unrolling.model.circuit.chips.find(({ ref }) => ref === place.chip);
    const figure = chip?.part.figures.window(place.rule === "hold" ? "hold" : "set-up", place.pin, place.reference);
    return figure !== undefined && !isMissing(figure) && decided.least >= figure.time;
  }

  decide(place: Place): Decided | { readonly why: string } {
    const { rule, symbol, chip, pin, reference, net } = place;
    const key = [rule, symbol, chip, pin, reference, net].join("|");
    const known = this.#decided.get(key) ?? decide(this.unrolling, this.#cases, this.#programme, place);
    this.#decided.set(key, known);
    return known;
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

function isAt(verdict: Verdict, { rule, chip, pin, reference }: Place): boolean {
  return verdict.rule === rule && verdict.chip === chip && verdict.pin === pin && verdict.reference === reference;
}
