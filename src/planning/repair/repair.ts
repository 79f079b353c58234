import type { Circuit } from "../../circuit/index.js";
import type { Check, Verdict } from "../../timing/index.js";
import { candidatesFor, partsForLevels } from "./candidates.js";
import { type Change, movedBy } from "./change.js";
import { compact } from "./compact.js";
import { type Edit, applyEdits } from "./edits.js";
import type { Evaluation, ProofLimits } from "./evaluate.js";
import { Mean } from "./mean.js";
import { Overhaul } from "./overhaul.js";
import { chipIn, isAtPace, isSilent } from "./pace.js";
import { type Pictured, byPicture } from "./pictured.js";
import { focusOn, haveChipInCommon, placeOf, placesOf, soonestOf } from "./places.js";
import { type Ended, type Screened, byDoubts } from "./screened.js";
import { byScore, bySize, isWell, scoreOf } from "./score.js";
import type { Screening } from "./screen.js";
import { bySharedPromise, interleave } from "./shared-promise.js";

/** Changes that together were proved to leave nothing failing. */
export interface Repair {
  readonly changes: readonly Change[];
  readonly text: string;
  readonly evaluation: Evaluation;
  /** What a simulated frame shows; absent where there is none to look at. */
  readonly picture?: Pictured;
}

export interface RepairResult {
  /** Verdicts that count against the text as it was; absent where it could not be proved at all. */
  readonly failing?: number;
  /** The smallest first. */
  readonly repairs: readonly Repair[];
  /** Proofs of whole texts that were run to their end. */
  readonly proofs: number;
  /** Changes that were simulated for a short time. */
  readonly screened: number;
  /** Changes that were proved where the least of the circuit decides, before a whole proof. */
  readonly looked: number;
  /** Changes of which the proof was given up at the first check that failed. */
  readonly refuted: number;
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
  /** What a frame of a text shows, by simulation: undefined where there is no picture. */
  readonly picture?: (text: string) => Pictured | undefined;
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
/** Repairs whose frame shows no test card, after which none is expected to. */
const ENOUGH_OTHERS = 3;
/** Single changes that are looked at before many are made at once. */
const SCREENED_BEFORE_MANY = 70;
/** How often many chips are chosen anew, each time with what the proof before said. */
const MOST_ROUNDS = 14;
/** Oscillator periods that are simulated at most: some lines of a picture. */
const MOST_PERIODS = 1500;
/**
 * A trial may take so many times what the text itself took, and so many milliseconds more: what fails can take for ever. Less at
 * first, more where nothing else is left to try.
 */
const TRIAL_TIMES = { first: { times: 1.5, more: 500 }, last: { times: 3, more: 3000 } };

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
  readonly #done: { what: string; failing: number }[] = [];
  #proofs = 0;
  #screened = 0;
  #looked = 0;
  #refuted = 0;
  #periods = MOST_PERIODS;
  #pace: ReadonlyMap<string, number> = new Map();
  readonly #took = { look: new Mean(), proof: new Mean() };
  #mostTicks: number | undefined;
  /** Milliseconds that a trial may take. */
  #mostTime = { first: Infinity, last: Infinity };
  #mayChangePace = false;
  readonly #pictures = new Map<string, Pictured | undefined>();
  #before: ReadonlyMap<string, number> = new Map();

  constructor(options: RepairOptions) {
    this.#options = options;
  }

  async run(text: string): Promise<RepairResult> {
    const began = this.#options.clock();
    const first = await this.#prove(text);
    const nothing = { repairs: [], proofs: 1, screened: 0, looked: 0, refuted: 0, tried: [] };
    if (!first.circuit) return nothing;
    const failing = first.failing.length + first.electrical.length;
    if (failing === 0) return { failing, ...nothing };
    this.#before = first.activity;
    this.#mayChangePace = first.circuit.picture === undefined;
    // A change that makes the circuit wander is none that mends it.
    this.#mostTicks = 4 * first.ticks + 1000;
    const took = this.#options.clock() - began;
    const timeFor = ({ times, more }: { readonly times: number; readonly more: number }) => times * took + more;
    this.#mostTime = { first: timeFor(TRIAL_TIMES.first), last: timeFor(TRIAL_TIMES.last) };
    // Twice round, where it comes back soon.
    this.#periods = Math.min(MOST_PERIODS, 2 * first.ticks);
    const screening = this.#options.screen(text, this.#periods);
    this.#pace = screening?.pace ?? this.#pace;
    const open: Node[] = [{ changes: [], text, evaluation: first }];
    const [repairs, others]: [Repair[], Repair[]] = [[], []];
    let nearest = open[0];
    while (this.#mayGoOn() && repairs.length < this.#options.enough) {
      const node = open.sort(byScore).shift();
      if (!node) break;
      // Where one change was enough, two are not looked for.
      if (repairs.some(({ changes }) => changes.length <= node.changes.length)) break;
      for await (const child of this.#children(node)) {
        if (isWell(child.evaluation)) this.#note(child, repairs, others);
        else if (scoreOf(child.evaluation) < scoreOf(node.evaluation)) open.push(child);
        if (nearest && scoreOf(child.evaluation) < scoreOf(nearest.evaluation)) nearest = child;
        if (repairs.length >= this.#options.enough) break;
      }
    }
    if (repairs.length === 0) repairs.push(...others.slice(0, this.#options.enough));
    const small: Repair[] = [];
    for (const found of repairs) small.push(await this.#without(text, found));
    return {
      failing,
      repairs: small.sort(bySize),
      proofs: this.#proofs,
      screened: this.#screened,
      looked: this.#looked,
      refuted: this.#refuted,
      tried: this.#done,
      ...(repairs.length === 0 && nearest && nearest.changes.length > 0 && { nearest }),
    };
  }

  /** Sorts a repair to those whose frame shows what it should, or to the others; of these a few are as good. */
  #note(found: Repair, repairs: Repair[], others: Repair[]): void {
    const repair = this.#shown(found);
    if (repair.picture === undefined || repair.picture === "card") repairs.push(repair);
    else others.push(repair);
    others.sort(byPicture);
    if (others.length === ENOUGH_OTHERS) repairs.push(...others.splice(0, 1));
  }

  #shown(found: Repair): Repair {
    const picture = this.#pictureOf(found.text);
    return picture ? { ...found, picture } : found;
  }

  async *#children(node: Node): AsyncGenerator<Node> {
    const { circuit, failing, electrical } = node.evaluation;
    if (!circuit) return;
    const places = placesOf(failing);
    // Where no part has to do with all that fails, many are too slow at once, unless one wire is wrong.
    let mayOverhaul = node.isOverhauled !== true;
    const areMany = places.length >= FEW_PLACES && !haveChipInCommon(places);
    const all = [...candidatesFor(circuit, places), partsForLevels(circuit, electrical)];
    const changes = (places.length < FEW_PLACES ? interleave(all) : bySharedPromise(all)).slice(0, MOST_SCREENED);
    const [later, refuted, ended]: [Screened[], Screened[], Ended[]] = [[], [], []];
    let batch = FIRST_BATCH;
    for (let at = 0; at < changes.length; at += batch, batch = Math.min(2 * batch, LARGEST_BATCH)) {
      const screened = [...this.#screen(node, changes.slice(at, at + batch))].sort(byDoubts);
      const most = Math.ceil(PROVED_OF_BATCH * batch);
      const clean = screened.filter(({ faults }) => faults === 0);
      refuted.push(...screened.filter(({ faults }) => faults > 0));
      for (const one of clean.slice(0, most)) yield* this.#tried(node, one, places, ended);
      later.push(...clean.slice(most));
      if (!this.#mayGoOn()) return;
      if (!mayOverhaul || !areMany || at + batch < SCREENED_BEFORE_MANY) continue;
      mayOverhaul = false;
      yield* this.#overhauled(node);
    }
    for (const one of later.sort(byDoubts)) yield* this.#tried(node, one, places, ended);
    // What took too long may hold; what failed somewhere may be a step on the way.
    for (const { screened } of ended.filter(({ isFailing }) => !isFailing)) yield* this.#proved(node, screened);
    const failed = ended.filter(({ isFailing }) => isFailing).sort((a, b) => b.ticks - a.ticks);
    for (const { screened } of failed.slice(0, MOST_STEPS)) yield* this.#proved(node, screened);
    refuted.sort((a, b) => a.faults - b.faults);
    for (const one of refuted.slice(0, MOST_STEPS)) yield* this.#proved(node, one);
    if (mayOverhaul) yield* this.#overhauled(node);
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
      // The logic is the same, so that its pace is, too; where many are too slow a proof sees more happen than does.
      const isAlive = [...this.#beforeWith(changes).keys()].every((place) => evaluation.activity.has(place));
      if (!isAlive) continue;
      this.#done.push({ what: changes.map(({ what }) => what).join("; "), failing: evaluation.failing.length });
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

  /** Proves a change up to the first check that fails, where the least of the circuit decides before the whole. */
  async *#tried(node: Node, screened: Screened, places: readonly Verdict[], ended: Ended[]): AsyncGenerator<Node> {
    if (!this.#mayGoOn()) return;
    const { circuit } = node.evaluation;
    // A small part of the circuit is proved first where that takes less.
    const soonest = circuit && this.#isLookWorthIt() ? soonestOf(circuit, places) : undefined;
    if (soonest) {
      for (const asked of places.length > 1 ? [[soonest], places] : [[soonest]]) {
        const { isMended, ticks } = await this.#look(screened.text, asked);
        if (isMended) continue;
        ended.push({ screened, isFailing: true, ticks });
        return;
      }
    }
    yield* this.#proved(node, screened, ended);
  }

  /** Proves a change whole: to its end, or where that is given to the first check that fails, and notes that. */
  async *#proved(node: Node, screened: Screened, ended?: Ended[]): AsyncGenerator<Node> {
    if (!this.#mayGoOn()) return;
    const { change, text } = screened;
    const evaluation = await this.#prove(text, ended && "first");
    const { stopped } = evaluation;
    if (stopped || (ended && !evaluation.circuit)) {
      ended?.push({ screened, isFailing: stopped !== undefined, ticks: stopped?.ticks ?? 0 });
      return;
    }
    const changes = [...node.changes, change];
    if (!evaluation.circuit || !this.#mayStand(text, changes, evaluation)) return;
    this.#done.push({ what: changes.map(({ what }) => what).join("; "), failing: evaluation.failing.length });
    yield { changes, text, evaluation };
  }

  #isLookWorthIt(): boolean {
    const { look, proof } = this.#took;
    return look.count < 3 || look.mean < proof.mean / 3;
  }

  /** Whether places hold in a text that did not; so as well where only a proof of nearly everything could tell. */
  async #look(
    text: string,
    places: readonly Verdict[],
  ): Promise<{ readonly isMended: boolean; readonly ticks: number }> {
    this.#looked++;
    const only = focusOn(places);
    const asked = new Set(places.map(placeOf));
    const began = this.#options.clock();
    const limits = { ...this.#limits("first"), only, endsAt: (check: Check) => asked.has(placeOf(check)) };
    const { circuit, failing, activity, isWhole, stopped } = await this.#options.evaluate(text, limits);
    this.#took.look.add(this.#options.clock() - began);
    if (!circuit) return { isMended: isWhole === true, ticks: stopped?.ticks ?? 0 };
    // Of the owners of a net alone nothing is clocked that could tell.
    const isAsked = (place: string) =>
      only.what === "all" && only.pins.some(({ chip, pin }) => place.endsWith(` ${chip} ${pin}`));
    const still = new Map([...this.#before].filter(([place]) => isAsked(place)));
    const isMended = !failing.some((verdict) => asked.has(placeOf(verdict))) && isAtPace(still, activity, true);
    return { isMended, ticks: 0 };
  }

  /** Whether all happens still, and at its pace where there is a picture, unless that is seen to be right. */
  #mayStand(text: string, changes: readonly Change[], evaluation: Evaluation): boolean {
    const before = this.#beforeWith(changes);
    if (isAtPace(before, evaluation.activity, this.#mayChangePace)) return true;
    // What was wired wrong may have done more than it should: where the picture is right every chip must do something still.
    const acting = new Set([...evaluation.activity.keys()].map(chipIn));
    const areAlive = [...before.keys()].every((place) => acting.has(chipIn(place)));
    return areAlive && isWell(evaluation) && this.#pictureOf(text) === "card";
  }

  #pictureOf(text: string): Pictured | undefined {
    if (!this.#pictures.has(text)) this.#pictures.set(text, this.#options.picture?.(text));
    return this.#pictures.get(text);
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
      if (evaluation.circuit && isWell(evaluation)) best = this.#shown({ changes, text: shorter, evaluation });
    }
    return best;
  }

  /** Proves a text to its end, or as a first trial up to the first check that fails. */
  async #prove(text: string, trial: "first" | "last" = "last"): Promise<Evaluation> {
    const began = this.#options.clock();
    const limits = { ...this.#limits(trial), ...(trial === "first" && { endsAt: () => true }) };
    const evaluation = await this.#options.evaluate(text, limits);
    if (evaluation.stopped) {
      this.#refuted++;
    } else {
      this.#proofs++;
      this.#took.proof.add(this.#options.clock() - began);
    }
    return evaluation;
  }

  #limits(trial: "first" | "last"): ProofLimits {
    const { clock, mayGoOn } = this.#options;
    const deadline = clock() + this.#mostTime[trial];
    return {
      ...(this.#mostTicks !== undefined && { mostTicks: this.#mostTicks }),
      mayGoOn: () => clock() < deadline && (mayGoOn?.() ?? true),
    };
  }

  #mayGoOn(): boolean {
    return this.#proofs < this.#options.mostProofs && (this.#options.mayGoOn?.() ?? true);
  }
}
