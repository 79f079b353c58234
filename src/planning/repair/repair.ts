import type { Circuit } from "../../circuit/index.js";
import type { Verdict } from "../../timing/index.js";
import { type Change, candidatesFor } from "./candidates.js";
import { type Edit, applyEdits } from "./edits.js";

/** What a proof said of a text. */
export interface Evaluation {
  /** Absent where the text is no circuit. */
  readonly circuit?: Circuit;
  /** Oscillator periods that were proved. */
  readonly ticks: number;
  /** Timing verdicts that count against it, worst first. */
  readonly failing: readonly Verdict[];
  /** Electrical verdicts that count against it, by name. */
  readonly electrical: readonly string[];
  /** How often each place is checked, in checks an oscillator period: what the circuit does, as far as a proof sees it. */
  readonly activity: ReadonlyMap<string, number>;
  /** The least margin of what holds, in femtoseconds. */
  readonly leastMargin?: number;
}

/** Changes that together were proved to leave nothing failing. */
export interface Repair {
  readonly changes: readonly Change[];
  readonly text: string;
  readonly evaluation: Evaluation;
}

export interface RepairResult {
  /** The smallest first. */
  readonly repairs: readonly Repair[];
  /** Proofs that were run. */
  readonly proofs: number;
  /** Changes that were tried, in the order of trying, with how many verdicts then failed. */
  readonly tried: readonly { readonly what: string; readonly failing: number }[];
  /** The changes that left the fewest failures, where none left none. */
  readonly nearest?: Repair;
}

export interface RepairOptions {
  /** Proves texts, several at once where it can. */
  readonly evaluate: (texts: readonly string[], mostTicks: number | undefined) => Promise<readonly Evaluation[]>;
  /** Proofs at most. */
  readonly mostProofs: number;
  /** Texts that are proved at once. */
  readonly atOnce: number;
  /** Repairs after which the search ends. */
  readonly enough: number;
  /** Asked between proofs; false ends the search. */
  readonly mayGoOn?: () => boolean;
}

/** What has been changed so far. */
interface Node {
  readonly changes: readonly Change[];
  readonly text: string;
  readonly evaluation: Evaluation;
}

/** Failing verdicts for which changes are looked for at once. */
const MOST_VERDICTS = 3;
/** Changes that are tried from one state of the text. */
const MOST_TRIES = 40;

/**
 * Looks for changes of a circuit file after which nothing fails. From the text with the fewest failures it tries the changes
 * that look most promising for its worst verdicts, proves each, and goes on from the best; it sees nothing but the text.
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
  #mostTicks: number | undefined;
  #before: ReadonlyMap<string, number> = new Map();

  constructor(options: RepairOptions) {
    this.#options = options;
  }

  async run(text: string): Promise<RepairResult> {
    const [first] = await this.#prove([text]);
    if (!first?.circuit || isWell(first)) return { repairs: [], proofs: this.#proofs, tried: [] };
    this.#before = first.activity;
    // A change that makes the circuit wander is none that mends it.
    this.#mostTicks = 4 * first.ticks + 1000;
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
    const small = await Promise.all(repairs.map((found) => this.#without(text, found)));
    const sorted = [...small].sort((a, b) => cost(a) - cost(b) || marginOf(b) - marginOf(a));
    return {
      repairs: sorted,
      proofs: this.#proofs,
      tried: this.#tried,
      ...(repairs.length === 0 && nearest && nearest.changes.length > 0 && { nearest }),
    };
  }

  async *#children(node: Node): AsyncGenerator<Node> {
    const { circuit, failing } = node.evaluation;
    if (!circuit) return;
    const changes = interleave(placesOf(failing).map((verdict) => candidatesFor(circuit, verdict))).slice(
      0,
      MOST_TRIES,
    );
    const texts = changes.flatMap((change) => {
      const text = applyEdits(node.text, change.edits);
      if (text === undefined || this.#seen.has(text)) return [];
      this.#seen.add(text);
      return [{ change, text }];
    });
    const { atOnce } = this.#options;
    for (let from = 0; from < texts.length && this.#mayGoOn(); from += atOnce) {
      const some = texts.slice(from, from + atOnce);
      const evaluations = await this.#prove(some.map(({ text }) => text));
      for (const [index, { change, text }] of some.entries()) {
        const evaluation = evaluations[index];
        if (!evaluation?.circuit || !doesAsMuch(this.#before, evaluation.activity)) continue;
        const all = [...node.changes, change];
        this.#tried.push({ what: all.map(({ what }) => what).join("; "), failing: evaluation.failing.length });
        yield { changes: all, text, evaluation };
      }
    }
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
      const [evaluation] = await this.#prove([shorter]);
      if (evaluation?.circuit && isWell(evaluation)) best = { changes, text: shorter, evaluation };
    }
    return best;
  }

  async #prove(texts: readonly string[]): Promise<readonly Evaluation[]> {
    this.#proofs += texts.length;
    return this.#options.evaluate(texts, this.#mostTicks);
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
  const places = new Set(failing.map(placeOf)).size + electrical.length;
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
 * Whether everything that was checked still happens, and as often: a board that stands still violates no rule either. Leads
 * differ, hence the tolerance.
 */
function doesAsMuch(before: ReadonlyMap<string, number>, after: ReadonlyMap<string, number>): boolean {
  for (const [place, rate] of before) {
    const now = after.get(place) ?? 0;
    if (now < LEAST_ACTIVITY * rate || now > rate / LEAST_ACTIVITY) return false;
  }
  return true;
}

const LEAST_ACTIVITY = 0.7;

/** Rule and chips: what fails alike is mended alike. */
function placeOf({ rule, symbol, chip, reference }: Verdict): string {
  return `${rule} ${symbol} ${chip} ${reference.split(" ")[0] ?? ""}`;
}

/** One verdict of each place, worst first. */
function placesOf(failing: readonly Verdict[]): readonly Verdict[] {
  const first = new Map<string, Verdict>();
  for (const verdict of failing) if (!first.has(placeOf(verdict))) first.set(placeOf(verdict), verdict);
  return [...first.values()].slice(0, MOST_VERDICTS);
}

/** The first of each list, then the second of each, and so on. */
function interleave<T>(lists: readonly (readonly T[])[]): readonly T[] {
  const longest = Math.max(0, ...lists.map((list) => list.length));
  return Array.from({ length: longest }, (_, index) => lists.flatMap((list) => list.slice(index, index + 1))).flat();
}
