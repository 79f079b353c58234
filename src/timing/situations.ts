import type { Check } from "./check.js";
import type { CellId } from "./model.js";
import { type Readings, ReadingTree } from "./reading-tree.js";
import type { ComingId, StateBook, StateId } from "./state-book.js";
import type { FedRegion } from "./step.js";

/** A tick that differs from every other in what it reads: proved once, counted each time it recurs. */
export interface Situation {
  /** Position among all of its component. */
  readonly number: number;
  readonly writes: readonly (readonly [CellId, StateId])[];
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

/** Situations by what a step reads and is told: states of cells, and glances, whose numbers follow those of all cells. */
export class Situations {
  readonly all: Situation[] = [];
  readonly #trees: (ReadingTree<Situation> | undefined)[] = [];
  readonly #cellCount: number;
  readonly #book: StateBook;

  constructor(cellCount: number, book: StateBook) {
    this.#cellCount = cellCount;
    this.#book = book;
  }

  /** The situation that this start is, if it is known and leaves no choice. */
  known(start: number, read: (cell: CellId) => StateId): Situation | undefined {
    const found = this.#trees[start]?.find(this.#looking(read));
    return typeof found === "object" ? found : undefined;
  }

  /**
   * Calls `found` for every situation that this start can be, one for each combination of choices; `prove` is asked to run
   * the step for what is not known yet, with the choices to take.
   */
  visit(
    start: number,
    read: (cell: CellId) => StateId,
    prove: (choices: readonly number[]) => { readings: Readings; outcome: Outcome },
    found: (situation: Situation) => void,
  ): void {
    const tree = (this.#trees[start] ??= new ReadingTree());
    const look = this.#looking(read);
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

  #looking(read: (cell: CellId) => StateId): (looked: number) => number {
    const [cellCount, book] = [this.#cellCount, this.#book];
    return (looked) => (looked < cellCount ? read(looked) : book.glance(read(looked - cellCount)));
  }
}
