import type { Verdict } from "../../timing/index.js";
import { type Change, candidatesFor, partsForLevels } from "./candidates.js";
import { type Edit, applyEdits } from "./edits.js";
import type { Evaluation, ProofLimits } from "./evaluate.js";
import { focusOn, placeOf, placesOf, soonestOf } from "./places.js";

/** Changes that together were proved to leave nothing failing. */
export interface Repair {
  readonly changes: readonly Change[];
  readonly text: string;
  readonly evaluation: Evaluation;
}

export interface RepairResult {
  /** The smallest first. */
  readonly repairs: readonly Repair[];
  /** Proofs of whole texts that were run. */
  readonly proofs: number;
  /** Changes that were looked at where the least of the circuit decides, before a whole proof. */
  readonly looked: number;
  /** Changes that were proved, in the order of trying, with how many verdicts then failed. */
  readonly tried: readonly { readonly what: string; readonly failing: number }[];
  /** The changes that left the fewest failures, where none left none. */
  readonly nearest?: Repair;
}

export interface RepairOptions {
  readonly evaluate: (text: string, limits: ProofLimits) => Promise<Evaluation>;
  /** Proofs of whole texts at most. */
  readonly mostProofs: number;
  /** Repairs after which the search ends. */
  readonly enough: number;
  /** Milliseconds since some moment: a trial may take a few times what the text itself took. */
  readonly clock: () => number;
  /** Asked every few milliseconds; false ends the search. */
  readonly mayGoOn?: () => boolean;
}

/** What has been changed so far. */
interface Node {
  readonly changes: readonly Change[];
  readonly text: string;
  readonly evaluation: Evaluation;
}

/** Failing verdicts for which changes are looked for at once. */
const MOST_VERDICTS = 4;
/** Changes that are looked at from one state of the text. */
const MOST_LOOKS = 400;
/** A trial may take so many times what the text itself took, and so many milliseconds more: what fails can take for ever. */
const [MOST_TIMES, MOST_MORE] = [3, 3000];

/**
 * Looks for changes of a circuit file after which nothing fails. From the text with the fewest failures it goes through the
 * changes that look most promising; each must first mend the failing place that the least of the circuit decides, then all
 * failing places, then everything is proved. It sees nothing but the text.
 */
export async function repair(text: string, options: RepairOptions): Promise<RepairResult> {
  const search = new RepairSearch(options);
  return search.run(text);
}

class RepairSearch {
  readonly #options: RepairOptions;
  readonly #seen = new Set<string>();
  readonly #tried: { what: string; failing: number }[] = [];
  #proofs = 0;
  #looked = 0;
  #mostTicks: number | undefined;
  #mostTime = Infinity;
  #mayChangePace = false;
  #before: ReadonlyMap<string, number> = new Map();

  constructor(options: RepairOptions) {
    this.#options = options;
  }

  async run(text: string): Promise<RepairResult> {
    const began = this.#options.clock();
    const first = await this.#prove(text);
    if (!first.circuit || isWell(first)) return { repairs: [], proofs: this.#proofs, looked: 0, tried: [] };
    this.#before = first.activity;
    this.#mayChangePace = first.circuit.picture === undefined;
    // A change that makes the circuit wander is none that mends it.
    this.#mostTicks = 4 * first.ticks + 1000;
    this.#mostTime = MOST_TIMES * (this.#options.clock() - began) + MOST_MORE;
    const open: Node[] = [{ changes: [], text, evaluation: first }];
    const repairs: Repair[] = [];
    let nearest = open[0];
    while (this.#mayGoOn() && repairs.length < this.#options.enough) {
      const node = open.sort(byScore).shift();
      if (!node) break;
      // Where one change was enough, two are not looked for.
      if (repairs.some(({ changes }) => changes.length <= node.changes.length)) break;
      for await (const child of this.#children(node)) {
        if (isWell(child.evaluation)) repairs.push(child);
        else if (scoreOf(child.evaluation) < scoreOf(node.evaluation)) open.push(child);
        if (nearest && scoreOf(child.evaluation) < scoreOf(nearest.evaluation)) nearest = child;
        if (repairs.length >= this.#options.enough) break;
      }
    }
    const small: Repair[] = [];
    for (const found of repairs) small.push(await this.#without(text, found));
    return {
      repairs: small.sort((a, b) => cost(a) - cost(b) || marginOf(b) - marginOf(a)),
      proofs: this.#proofs,
      looked: this.#looked,
      tried: this.#tried,
      ...(repairs.length === 0 && nearest && nearest.changes.length > 0 && { nearest }),
    };
  }

  async *#children(node: Node): AsyncGenerator<Node> {
    const { circuit, failing, electrical } = node.evaluation;
    if (!circuit) return;
    const places = placesOf(failing);
    const soonest = soonestOf(circuit, places);
    const worst = places.filter((verdict) => verdict !== soonest).slice(0, MOST_VERDICTS);
    const lists = [...(soonest ? [soonest] : []), ...worst].map((verdict) => candidatesFor(circuit, verdict));
    const changes = interleave([...lists, partsForLevels(circuit, electrical)]).slice(0, MOST_LOOKS);
    for (const change of changes) {
      if (!this.#mayGoOn()) return;
      const text = applyEdits(node.text, change.edits);
      if (text === undefined || this.#seen.has(text)) continue;
      this.#seen.add(text);
      if (soonest && !(await this.#mends(text, [soonest]))) continue;
      if (places.length > 1 && !(await this.#mends(text, places))) continue;
      const evaluation = await this.#prove(text);
      if (!evaluation.circuit || !this.#isAtPace(this.#before, evaluation.activity)) continue;
      const all = [...node.changes, change];
      this.#tried.push({ what: all.map(({ what }) => what).join("; "), failing: evaluation.failing.length });
      yield { changes: all, text, evaluation };
    }
  }

  /** Whether some of the places hold in a text that did not; true where only a proof of nearly everything could tell. */
  async #mends(text: string, places: readonly Verdict[]): Promise<boolean> {
    this.#looked++;
    const only = focusOn(places);
    const evaluation = await this.#options.evaluate(text, { ...this.#limits(), only });
    if (!evaluation.circuit) return evaluation.isWhole === true;
    const left = new Set(evaluation.failing.map(placeOf));
    // Of the owners of a net alone nothing is clocked that could tell.
    const isAsked = (place: string) =>
      only.what === "all" && only.pins.some(({ chip, pin }) => place.endsWith(` ${chip} ${pin}`));
    const still = new Map([...this.#before].filter(([place]) => isAsked(place)));
    return places.some((verdict) => !left.has(placeOf(verdict))) && this.#isAtPace(still, evaluation.activity);
  }

  /** Whether all that happened before happens still; at another pace only where no picture says which is right. */
  #isAtPace(before: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): boolean {
    const pace = paceOf(before, after);
    return pace !== undefined && (this.#mayChangePace || isAbout(pace, 1));
  }

  /** Leaves out every change that turns out not to be needed. */
  async #without(text: string, found: Repair): Promise<Repair> {
    let best = found;
    for (const change of found.changes) {
      if (best.changes.length < 2 || !this.#mayGoOn()) break;
      const changes = best.changes.filter((one) => one !== change);
      const shorter = applyEdits(
        text,
        changes.flatMap(({ edits }): readonly Edit[] => edits),
      );
      if (shorter === undefined) continue;
      const evaluation = await this.#prove(shorter);
      if (evaluation.circuit && isWell(evaluation)) best = { changes, text: shorter, evaluation };
    }
    return best;
  }

  async #prove(text: string): Promise<Evaluation> {
    this.#proofs++;
    return this.#options.evaluate(text, this.#limits());
  }

  #limits(): ProofLimits {
    const { clock, mayGoOn } = this.#options;
    const deadline = clock() + this.#mostTime;
    return {
      ...(this.#mostTicks !== undefined && { mostTicks: this.#mostTicks }),
      mayGoOn: () => clock() < deadline && (mayGoOn?.() ?? true),
    };
  }

  #mayGoOn(): boolean {
    return this.#proofs < this.#options.mostProofs && (this.#options.mayGoOn?.() ?? true);
  }
}

function isWell({ failing, electrical }: Evaluation): boolean {
  return failing.length === 0 && electrical.length === 0;
}

/** Less is better: places that fail first, then by how much. */
function scoreOf({ failing, electrical }: Evaluation): number {
  const places = placesOf(failing).length + electrical.length;
  const short = failing.reduce((sum, { margin }) => sum + Math.min(1e8, -(margin ?? -1e7)), 0);
  return places + short / 1e12;
}

function byScore(one: Node, other: Node): number {
  return scoreOf(one.evaluation) - scoreOf(other.evaluation) || one.changes.length - other.changes.length;
}

function cost({ changes }: Repair): number {
  return changes.length + changes.reduce((sum, { chips }) => sum + chips, 0);
}

function marginOf({ evaluation }: Repair): number {
  return evaluation.leastMargin ?? 0;
}

/**
 * How much more often everything happens that was checked before, where one number tells: a board that stands still violates
 * no rule either. What the oscillator itself clocks keeps its rate. Leads differ, hence the tolerance.
 */
function paceOf(before: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): number | undefined {
  const ratios = [...before].map(([place, rate]) => (after.get(place) ?? 0) / rate);
  const other = ratios.find((ratio) => !isAbout(ratio, 1)) ?? 1;
  return other > 0 && ratios.every((ratio) => isAbout(ratio, 1) || isAbout(ratio, other)) ? other : undefined;
}

function isAbout(ratio: number, wanted: number): boolean {
  return ratio >= LEAST_ACTIVITY * wanted && ratio <= wanted / LEAST_ACTIVITY;
}

const LEAST_ACTIVITY = 0.7;

/** The first of each list, then the second of each, and so on. */
function interleave<T>(lists: readonly (readonly T[])[]): readonly T[] {
  const longest = Math.max(0, ...lists.map((list) => list.length));
  return Array.from({ length: longest }, (_, index) => lists.flatMap((list) => list.slice(index, index + 1))).flat();
}
