import type { Circuit } from "../../circuit/index.js";
import type { ChainStep, Verdict } from "../../timing/index.js";
import { candidatesFor, partsForLevels } from "./candidates.js";
import { type Change, movedBy } from "./change.js";
import { compact } from "./compact.js";
import { type Edit, applyEdits } from "./edits.js";
import type { Evaluation, ProofLimits } from "./evaluate.js";
import { Overhaul } from "./overhaul.js";
import { focusOn, placeOf, placesOf, soonestOf } from "./places.js";
import type { Screening } from "./screen.js";

/** Changes that together were proved to leave nothing failing. */
export interface Repair {
  readonly changes: readonly Change[];
  readonly text: string;
  readonly evaluation: Evaluation;
}

export interface RepairResult {
  /** Verdicts that count against the text as it was; absent where it could not be proved at all. */
  readonly failing?: number;
  /** The smallest first. */
  readonly repairs: readonly Repair[];
  /** Proofs of whole texts that were run. */
  readonly proofs: number;
  /** Changes that were simulated for a short time. */
  readonly screened: number;
  /** Changes that were proved where the least of the circuit decides, before a whole proof. */
  readonly looked: number;
  /** Changes that were proved, in the order of trying, with how many verdicts then failed. */
  readonly tried: readonly { readonly what: string; readonly failing: number }[];
  /** The changes that left the fewest failures, where none left none. */
  readonly nearest?: Repair;
}

export interface RepairOptions {
  readonly read: (text: string) => Circuit | undefined;
  readonly evaluate: (text: string, limits: ProofLimits) => Promise<Evaluation>;
  /** A short look by simulation, for so many oscillator periods: what fails there need not be proved. */
  readonly screen: (text: string, periods: number) => Screening | undefined;
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
  readonly isOverhauled?: boolean;
}

/** Changes that are screened from one state of the text. */
const MOST_SCREENED = 2000;
/** So many are screened before the best of them are proved: few at first, as what looks most promising often is what mends. */
const [FIRST_BATCH, LARGEST_BATCH] = [10, 80];
/** Of a batch that many are proved; the others come when all were screened. */
const PROVED_OF_BATCH = 1 / 6;
/** Of the changes after which something fails still, how many are proved to go on from. */
const MOST_STEPS = 6;
/** Fewer places that fail may have one cause. */
const FEW_PLACES = 4;
/** How often many chips are chosen anew, each time with what the proof before said. */
const MOST_ROUNDS = 14;
/** Oscillator periods that are simulated at most: some lines of a picture. */
const MOST_PERIODS = 1500;
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
  #screened = 0;
  #looked = 0;
  #periods = MOST_PERIODS;
  #pace: ReadonlyMap<string, number> = new Map();
  readonly #took = { look: new Mean(), proof: new Mean() };
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
    const nothing = { repairs: [], proofs: this.#proofs, screened: 0, looked: 0, tried: [] };
    if (!first.circuit) return nothing;
    const failing = first.failing.length + first.electrical.length;
    if (failing === 0) return { failing, ...nothing };
    this.#before = first.activity;
    this.#mayChangePace = first.circuit.picture === undefined;
    // A change that makes the circuit wander is none that mends it.
    this.#mostTicks = 4 * first.ticks + 1000;
    this.#mostTime = MOST_TIMES * (this.#options.clock() - began) + MOST_MORE;
    // Twice round, where it comes back soon.
    this.#periods = Math.min(MOST_PERIODS, 2 * first.ticks);
    const screening = this.#options.screen(text, this.#periods);
    this.#pace = screening?.pace ?? this.#pace;
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
      failing,
      repairs: small.sort((a, b) => cost(a) - cost(b) || marginOf(b) - marginOf(a)),
      proofs: this.#proofs,
      screened: this.#screened,
      looked: this.#looked,
      tried: this.#tried,
      ...(repairs.length === 0 && nearest && nearest.changes.length > 0 && { nearest }),
    };
  }

  async *#children(node: Node): AsyncGenerator<Node> {
    const { circuit, failing, electrical } = node.evaluation;
    if (!circuit) return;
    const places = placesOf(failing);
    // Where no part has to do with all that fails, many are too slow at once.
    const areMany = node.isOverhauled !== true && places.length >= FEW_PLACES && !haveChipInCommon(places);
    if (areMany) yield* this.#overhauled(node);
    const lists = places.map((verdict) => candidatesFor(circuit, verdict));
    const changes = interleave([...lists, partsForLevels(circuit, electrical)]).slice(0, MOST_SCREENED);
    const [later, refuted]: [Screened[], Screened[]] = [[], []];
    let batch = FIRST_BATCH;
    for (let at = 0; at < changes.length; at += batch, batch = Math.min(2 * batch, LARGEST_BATCH)) {
      const screened = [...this.#screen(node, changes.slice(at, at + batch))].sort(byDoubts);
      const most = Math.ceil(PROVED_OF_BATCH * batch);
      const clean = screened.filter(({ faults }) => faults === 0);
      refuted.push(...screened.filter(({ faults }) => faults > 0));
      for (const one of clean.slice(0, most)) yield* this.#proved(node, one, places);
      later.push(...clean.slice(most));
      if (!this.#mayGoOn()) return;
    }
    for (const one of later.sort(byDoubts)) yield* this.#proved(node, one, places);
    // None of these mends everything, but one may be a step on the way.
    refuted.sort((a, b) => a.faults - b.faults);
    for (const one of refuted.slice(0, MOST_STEPS)) yield* this.#proved(node, one, places);
    if (!node.isOverhauled && !areMany) yield* this.#overhauled(node);
  }

  /** The text with many chips changed at once, time and again, each proved. */
  async *#overhauled(node: Node): AsyncGenerator<Node> {
    const overhaul = new Overhaul(this.#options.read);
    const { circuit: before } = node.evaluation;
    if (!before) return;
    let { text, evaluation } = node;
    let made: readonly Change[] = [];
    for (let round = 0; round < MOST_ROUNDS && this.#mayGoOn(); round++) {
      overhaul.learn(text, evaluation);
      const next = overhaul.next(text, evaluation);
      if (!next || this.#seen.has(next.text)) return;
      this.#seen.add(next.text);
      ({ text } = next);
      evaluation = await this.#prove(text);
      made = [...made, ...next.changes];
      if (!evaluation.circuit) return;
      const changes = [...node.changes, ...compact(before, evaluation.circuit, made)];
      if (!this.#isAtPace(this.#beforeWith(changes), evaluation.activity)) continue;
      this.#tried.push({ what: changes.map(({ what }) => what).join("; "), failing: evaluation.failing.length });
      yield { changes, text, evaluation, isOverhauled: true };
      if (isWell(evaluation)) return;
    }
  }

  /** What happened before, at the pins where it happens after some changes. */
  #beforeWith(changes: readonly Change[]): ReadonlyMap<string, number> {
    return new Map(
      [...this.#before].map(([place, rate]) => {
        const [, head = "", pin = ""] = /^(.*) (\S+ \S+)$/.exec(place) ?? [];
        return [`${head} ${movedBy(changes, pin)}`, rate];
      }),
    );
  }

  /** What a short simulation leaves of some changes, with the number of faults that it saw. */
  *#screen(node: Node, changes: readonly Change[]): Generator<Screened> {
    for (const change of changes) {
      if (!this.#mayGoOn()) return;
      const text = applyEdits(node.text, change.edits);
      if (text === undefined || this.#seen.has(text)) continue;
      this.#seen.add(text);
      this.#screened++;
      const screening = this.#options.screen(text, this.#periods);
      if (screening && !isSilent(this.#pace, screening.pace)) {
        yield {
          change,
          text,
          faults: screening.faults.size,
          still: screening.still.size,
          doubts: screening.doubts.size,
        };
      }
    }
  }

  async *#proved(node: Node, { change, text, faults }: Screened, places: readonly Verdict[]): AsyncGenerator<Node> {
    if (!this.#mayGoOn()) return;
    const { circuit } = node.evaluation;
    // A small part of the circuit is proved first where that takes less.
    const soonest = circuit && this.#isLookWorthIt() ? soonestOf(circuit, places) : undefined;
    if (soonest && faults === 0) {
      if (!(await this.#mends(text, [soonest]))) return;
      if (places.length > 1 && !(await this.#mends(text, places))) return;
    }
    const evaluation = await this.#prove(text);
    const changes = [...node.changes, change];
    if (!evaluation.circuit || !this.#isAtPace(this.#beforeWith(changes), evaluation.activity)) return;
    this.#tried.push({ what: changes.map(({ what }) => what).join("; "), failing: evaluation.failing.length });
    yield { changes, text, evaluation };
  }

  #isLookWorthIt(): boolean {
    const { look, proof } = this.#took;
    return look.count < 3 || look.mean < proof.mean / 3;
  }

  /** Whether some of the places hold in a text that did not; true where only a proof of nearly everything could tell. */
  async #mends(text: string, places: readonly Verdict[]): Promise<boolean> {
    this.#looked++;
    const only = focusOn(places);
    const began = this.#options.clock();
    const evaluation = await this.#options.evaluate(text, { ...this.#limits(), only });
    this.#took.look.add(this.#options.clock() - began);
    if (!evaluation.circuit) return evaluation.isWhole === true;
    const left = new Set(evaluation.failing.map(placeOf));
    // Of the owners of a net alone nothing is clocked that could tell.
    const isAsked = (place: string) =>
      only.what === "all" && only.pins.some(({ chip, pin }) => place.endsWith(` ${chip} ${pin}`));
    const still = new Map([...this.#before].filter(([place]) => isAsked(place)));
    return places.some((verdict) => !left.has(placeOf(verdict))) && this.#isAtPace(still, evaluation.activity);
  }

  /**
   * Whether all that happened before happens still: a board that stands still violates no rule either. Where a picture says
   * which pace is right, as often, and most of it no more often; what stood still may come alive.
   */
  #isAtPace(before: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): boolean {
    const ratios = [...before].map(([place, rate]) => (after.get(place) ?? 0) / rate).sort((a, b) => a - b);
    const [least = 1, middle = 1] = [ratios[0], ratios[ratios.length >> 1]];
    return this.#mayChangePace ? least > 0 : least >= LEAST_ACTIVITY && middle <= 1 / LEAST_ACTIVITY;
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
    const began = this.#options.clock();
    const evaluation = await this.#options.evaluate(text, this.#limits());
    this.#took.proof.add(this.#options.clock() - began);
    return evaluation;
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

/** A change that was simulated. */
interface Screened {
  readonly change: Change;
  readonly text: string;
  /** Places at which a board did what it should not. */
  readonly faults: number;
  /** Clocks that stood still. */
  readonly still: number;
  /** Places at which little was to spare. */
  readonly doubts: number;
}

function byDoubts(one: Screened, other: Screened): number {
  return one.still - other.still || one.doubts - other.doubts;
}

/** Whether one chip has to do with all that fails by some time: its requirement, or a delay that counts. */
function haveChipInCommon(places: readonly Verdict[]): boolean {
  const [first, ...others] = places.flatMap(({ chip, chains }) =>
    chains ? [new Set([chip, ...[...chains.earlier, ...chains.later].flatMap(countedChip)])] : [],
  );
  return first === undefined || [...first].some((ref) => others.every((refs) => refs.has(ref)));
}

function countedChip({ kind, chip, cancelled }: ChainStep): readonly string[] {
  return kind === "arc" && !cancelled ? [chip] : [];
}

/** How long something takes. */
class Mean {
  count = 0;
  #sum = 0;

  add(time: number): void {
    this.count++;
    this.#sum += time;
  }

  get mean(): number {
    return this.count === 0 ? 0 : this.#sum / this.count;
  }
}

/** Whether something that was clocked or written is not any more. */
function isSilent(before: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): boolean {
  return [...before].some(([net, pace]) => pace > 0 && after.get(net) === 0);
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

/** Leads differ, so that not all is checked just as often. */
const LEAST_ACTIVITY = 0.7;

/** The first of each list, then the second of each, and so on. */
function interleave<T>(lists: readonly (readonly T[])[]): readonly T[] {
  const longest = Math.max(0, ...lists.map((list) => list.length));
  return Array.from({ length: longest }, (_, index) => lists.flatMap((list) => list.slice(index, index + 1))).flat();
}
