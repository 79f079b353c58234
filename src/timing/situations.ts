import type { Looked } from "./aspects.js";
import type { Check } from "./check.js";
import { type Readings, ReadingTree } from "./reading-tree.js";
import type { ComingId } from "./state-book.js";
import type { FedRegion } from "./step.js";
import type { Writes } from "./step-cells.js";

/** A tick that differs from every other in what it reads: proved once, counted each time it recurs. */
export interface Situation {
  /** Position among all of its component. */
  readonly number: number;
  readonly writes: Writes;
  readonly coming: ComingId;
  readonly checks: readonly Check[];
  /** What it did to its waves. */
  readonly feed: readonly FedRegion[];
  /** Number of what each later component sees of it, by component; made when first asked for. */
  readonly feedTo: Map<number, number>;
  count: number;
  firstTick: number;
}

/** What a step comes to. */
export type Outcome = Pick<Situation, "writes" | "coming" | "checks" | "feed">;

/** Situations by what a step looks at and is told. */
export class Situations {
  readonly all: Situation[] = [];
  readonly #trees: (ReadingTree<Situation> | undefined)[] = [];

  /** The situation that this start is, if it is known and leaves no choice. */
  known(start: number, look: (looked: Looked) => number): Situation | undefined {
    const found = this.#trees[start]?.find(look);
    return typeof found === "object" ? found : undefined;
  }

  /**
   * Calls `found` for every situation that this start can be, one for each combination of choices; `prove` is asked to run
   * the step for what is not known yet, with the choices to take.
   */
  visit(
    start: number,
    look: (looked: Looked) => number,
    prove: (choices: readonly number[]) => { readings: Readings; outcome: Outcome },
    found: (situation: Situation) => void,
  ): void {
    const tree = (this.#trees[start] ??= new ReadingTree());
    const walk = (choices: readonly number[]): void => {
      const known = tree.find(look, choices);
      if (typeof known === "object") return found(known);
      if (known !== undefined) {
        for (let choice = 0; choice < known; choice++) walk([...choices, choice]);
        return;
      }
      const { readings, outcome } = prove(choices);
      const situation: Situation = { ...outcome, number: this.all.length, feedTo: new Map(), count: 0, firstTick: -1 };
      this.all.push(situation);
      tree.add(readings, situation);
      walk(choices);
    };
    walk([]);
  }
}
