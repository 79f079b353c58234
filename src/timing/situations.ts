import type { Check } from "./check.js";
import type { CellId } from "./model.js";
import type { ComingId, StateId } from "./state-book.js";
import type { FedRegion } from "./step.js";

/** A tick that differs from every other in what it reads: proved once, counted each time it recurs. */
export interface Situation {
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

/** What a step read or was told, in order. */
export type Reading =
  { readonly cell: CellId; readonly state: StateId } | { readonly count: number; readonly taken: number };

type Node =
  | { readonly kind: "cell"; readonly cell: CellId; readonly next: Map<StateId, Node> }
  | { readonly kind: "choice"; readonly count: number; readonly next: Map<number, Node> }
  | { readonly kind: "end"; readonly situation: Situation };

/**
 * Situations by what they read: the first reading is always of the same cell, the next depends on what the first gave, and
 * so on. Looking one up reads no more than the step itself would.
 */
export class Situations {
  readonly all: Situation[] = [];
  readonly #roots = new Map<number, Node>();

  /** The situation that this start is, if it is known and leaves no choice. */
  known(start: number, read: (cell: CellId) => StateId): Situation | undefined {
    let node = this.#roots.get(start);
    while (node?.kind === "cell") node = node.next.get(read(node.cell));
    return node?.kind === "end" ? node.situation : undefined;
  }

  /**
   * Calls `found` for every situation that this start can be, one for each combination of choices; `prove` is asked to run
   * the step for what is not known yet, with the choices to take.
   */
  visit(
    start: number,
    read: (cell: CellId) => StateId,
    prove: (choices: readonly number[]) => {
      readings: readonly Reading[];
      outcome: Outcome;
    },
    found: (situation: Situation) => void,
  ): void {
    const learn = (choices: readonly number[]): void => {
      const { readings, outcome } = prove(choices);
      this.#insert(start, readings, { ...outcome, feedTo: new Map(), count: 0, firstTick: -1 });
    };
    if (!this.#roots.has(start)) learn([]);
    const walk = (choices: readonly number[]): void => {
      let node = this.#roots.get(start);
      let chosen = 0;
      for (;;) {
        if (!node) return;
        if (node.kind === "end") return found(node.situation);
        if (node.kind === "cell") {
          const next: Node | undefined = node.next.get(read(node.cell));
          if (!next) {
            learn(choices);
            return walk(choices);
          }
          node = next;
          continue;
        }
        if (chosen < choices.length) {
          const next: Node | undefined = node.next.get(choices[chosen] ?? 0);
          if (!next) {
            learn(choices);
            return walk(choices);
          }
          chosen++;
          node = next;
          continue;
        }
        for (let choice = 0; choice < node.count; choice++) walk([...choices, choice]);
        return;
      }
    };
    walk([]);
  }

  #insert(start: number, readings: readonly Reading[], situation: Situation): void {
    const leaf: Node = { kind: "end", situation };
    const nodeFor = (reading: Reading): Node =>
      "cell" in reading
        ? { kind: "cell", cell: reading.cell, next: new Map() }
        : { kind: "choice", count: reading.count, next: new Map() };
    this.all.push(situation);
    const [first] = readings;
    if (!first) {
      this.#roots.set(start, leaf);
      return;
    }
    let node = this.#roots.get(start);
    if (!node) {
      node = nodeFor(first);
      this.#roots.set(start, node);
    }
    readings.forEach((reading, index) => {
      if (!node || node.kind === "end") return;
      const key = "cell" in reading ? reading.state : reading.taken;
      const following = readings[index + 1];
      let next = node.next.get(key);
      if (!next) {
        next = following ? nodeFor(following) : leaf;
        node.next.set(key, next);
      }
      node = next;
    });
  }
}
