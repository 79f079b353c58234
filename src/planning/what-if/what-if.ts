import { type Circuit, type ReadOptions, boardOscillators, readCircuit } from "../../circuit/index.js";
import { underLoad } from "../../electrical/index.js";
import { type Oscillation, canSeries, stockFrequencies } from "../../parts/index.js";
import { FS_PER_NS, type Fs, fs } from "../../quantity/index.js";
import type { Verdict } from "../../timing/index.js";
import { gainOf } from "../repair/gain.js";
import { applyEdits } from "../repair/edits.js";
import { type Swap, swapsFor } from "./swaps.js";
import { type Dimension, type Limit, greatest } from "./limit.js";
import { areFiguresWithin, partsLacking } from "./figures-within.js";
import { type Outcome, type TimedVerdict, failingLevels, isTimed, outcomeOf, withVerdicts } from "./outcome.js";
import { reachOfClock, reachOfWires, wiresOf } from "./reach.js";
import { hertzOf, scaled } from "./scaled.js";
import { type Variation, variationsOf } from "./variants.js";

/** What a variation does to a board; `state` is `not tried` where the time ran out before. */
export interface Tried {
  readonly variation: Variation;
  readonly state: Outcome["state"] | "not tried";
  readonly failing: number;
  /** Levels that fail, by name. */
  readonly levels: readonly string[];
  readonly tightest?: TimedVerdict;
  /** Of the verdicts whose margin it moves, the one with the least left; absent where it moves none. */
  readonly moved?: Moved;
  /**
   * It was not proved, for every board of it is one of those that were proved: it holds. Its least margin is that one or more,
   * and `moved` is by the chains that were known.
   */
  readonly isWithin: boolean;
  /** Parts of which no sheet has figures there, which says enough without a proof. */
  readonly lacking?: readonly string[];
}

export interface Moved {
  readonly name: string;
  readonly before: Fs;
  readonly after: Fs;
}

/** How fast the board may run. */
export interface ClockLimit extends Limit {
  /** Hertz, now. */
  readonly now: number;
  readonly oscillation: Oscillation;
  /** The fastest stock can that is no faster than the limit, in megahertz. */
  readonly stock?: number;
}

/** How long wires may be, as their greatest delay in femtoseconds. */
export interface WireLimit extends Limit {
  readonly now: Fs;
}

/** What one other part in one chip's place does to the highest frequency. */
export interface SwapResult {
  readonly swap: Swap;
  /** Ended early where it cannot be more than another's. */
  readonly clock: Limit;
}

/** A board's margins against what could be otherwise. */
export interface WhatIf {
  readonly now: Outcome;
  readonly clock?: ClockLimit;
  /** The greatest delay of a wire, in femtoseconds; `now` is the file's. */
  readonly wires: WireLimit;
  /** Other parts for one chip, the one that buys most first; absent where nothing is bound by a chip. */
  readonly swaps: readonly SwapResult[];
  readonly tried: readonly Tried[];
  readonly proofs: number;
  /** Whether everything was tried; not where the time ran out before, or where more is still to come. */
  readonly isComplete: boolean;
}

export interface WhatIfOptions {
  readonly file: string;
  readonly reading: ReadOptions;
  /** Told before each proof how many are done, how many there will be about, and what is tried. */
  readonly onProof?: (done: number, expected: number, what: string) => void;
  /** Told whenever more is known. */
  readonly onFound?: (soFar: WhatIf) => void;
  /** Asked every few milliseconds; false ends it, and what is known by then is the answer. */
  readonly mayGoOn?: () => boolean;
  /** Milliseconds since some moment. */
  readonly clock: () => number;
}

/** Proofs that a search for a limit takes, about, and one that begins where chains promise the limit. */
const [USUAL_SEARCH, PROMISED_SEARCH] = [2, 1];
/** Other parts for one chip whose highest frequency is looked for. */
const MOST_SWAPS = 3;
/** A trial may take so many times the proof of the board itself, and so many milliseconds more: what fails can take for ever. */
const [MOST_TIMES, MOST_MORE] = [4, 4000];
/** The steps of the searches; what is printed of another part's frequency is rounded to a kilohertz. */
const [HERTZ_STEP, SWAP_STEP, WIRE_STEP] = [100, 1000, 10_000];
/** The share of a limit to which it is looked for where no time decides. */
const SHARE = 0.01;
/** A clock below this share of the board's is none for what it is to show. */
const SLOWEST = 1 / 8;
/** Wires are not looked at beyond so many nanoseconds: some three metres. */
const LONGEST_WIRE = fs(20e6);

/** Tries a circuit file's text otherwise, one thing at a time. Throws RangeError where it is no circuit with one oscillator. */
export function whatIf(text: string, options: WhatIfOptions): WhatIf {
  return new WhatIfSearch(text, options).run();
}

class WhatIfSearch {
  readonly #text: string;
  readonly #options: WhatIfOptions;
  readonly #circuit: Circuit;
  #proofs = 0;
  #expected = 1;
  #mostTime = Infinity;
  #isStopped = false;

  constructor(text: string, options: WhatIfOptions) {
    this.#text = text;
    this.#options = options;
    const circuit = this.#read(text);
    if (!circuit || boardOscillators(circuit).length !== 1) {
      throw new RangeError("what-if needs a circuit with exactly one oscillator");
    }
    this.#circuit = circuit;
  }

  run(): WhatIf {
    const began = this.#options.clock();
    const now = this.#prove(this.#circuit, "the board as it is");
    if (!now) throw new RangeError("no proof can be made of the circuit");
    this.#mostTime = MOST_TIMES * (this.#options.clock() - began) + MOST_MORE;
    const variations = this.#sorted(now);
    const needsProof = ({ isWithin, lacking }: Varied) => !isWithin && lacking.length === 0;
    const toProve = variations.filter(needsProof).length;
    this.#expected = 1 + toProve + 2 * USUAL_SEARCH + MOST_SWAPS * PROMISED_SEARCH;
    // What takes no proof is known first.
    const tried = variations.map((one): Tried => {
      const { variation, lacking } = one;
      if (lacking.length > 0) return { ...notTried(variation), state: "not covered", lacking };
      return one.isWithin ? this.#within(one, now) : notTried(variation);
    });
    const { wireDelay } = this.#circuit;
    const nothing: Limit = { isExact: false, proved: [] };
    let found: Omit<WhatIf, "proofs" | "isComplete"> = {
      ...{ now, swaps: [], tried, wires: { ...nothing, now: wireDelay.max } },
    };
    const tell = (change: Partial<typeof found>) => {
      found = { ...found, ...change };
      this.#options.onFound?.({ ...found, proofs: this.#proofs, isComplete: false });
    };
    const clock = this.#clockLimit(now);
    if (clock) tell({ clock });
    tell({ wires: { ...this.#wireLimit(now), now: wireDelay.max } });
    if (clock) for (const swaps of this.#swaps(clock)) tell({ swaps });
    variations.forEach((one, index) => {
      if (!needsProof(one)) return;
      const of = this.#try(one, now);
      tell({ tried: found.tried.map((old, at) => (at === index ? of : old)) });
    });
    return { ...found, proofs: this.#proofs, isComplete: !this.#isStopped };
  }

  /** The variations, each with its circuit, and whether it needs a proof. */
  #sorted(now: Outcome): readonly Varied[] {
    const loaded = underLoad(this.#circuit);
    return variationsOf(this.#circuit).map((variation) => {
      const text = applyEdits(this.#text, variation.edits);
      const circuit = text === undefined ? undefined : this.#read(text);
      const own = circuit && underLoad(circuit);
      return {
        variation,
        ...(circuit && { circuit }),
        lacking: own ? partsLacking(own, loaded) : [],
        isWithin:
          own !== undefined &&
          areFiguresWithin(own, loaded) &&
          (now.state === "holds" || areFiguresWithin(loaded, own)),
      };
    });
  }

  #read(text: string): Circuit | undefined {
    return readCircuit(text, this.#options.file, this.#options.reading).circuit;
  }

  #prove(circuit: Circuit, what: string): Outcome | undefined {
    const { clock, mayGoOn, onProof } = this.#options;
    if (this.#isStopped) return undefined;
    onProof?.(this.#proofs, Math.max(this.#expected, this.#proofs + 1), what);
    this.#proofs++;
    const deadline = clock() + this.#mostTime;
    return outcomeOf(circuit, undefined, () => {
      this.#isStopped ||= mayGoOn?.() === false;
      return !this.#isStopped && clock() < deadline;
    });
  }

  /** The highest frequency of the oscillator, beginning with what a proof said of it. */
  #clockLimit(start: Outcome): ClockLimit | undefined {
    const dimension = this.#clockOf(this.#text, HERTZ_STEP, "the highest clock");
    if (!dimension) return undefined;
    const { now, oscillation } = dimension;
    const limit = greatest(dimension, { start: { value: now, outcome: start }, least: SLOWEST * now });
    const stock = stockFrequencies.filter((megahertz) => megahertz * 1e6 <= (limit.value ?? 0)).at(-1);
    return { ...limit, now, oscillation, ...(stock !== undefined && { stock }) };
  }

  /** The frequency of a text's oscillator, as a quantity that can be raised. */
  #clockOf(text: string, step: number, what: string): (Dimension & { readonly oscillation: Oscillation }) | undefined {
    const circuit = this.#read(text);
    const can = circuit && boardOscillators(circuit)[0];
    const oscillation = can?.part.oscillation;
    if (!oscillation) return undefined;
    const now = hertzOf(oscillation);
    const series = canSeries.find(({ name }) => oscillation.source.column?.startsWith(name));
    const fastest = 1e6 * (series?.megahertz[1] ?? 0);
    return {
      ...{ now, step, oscillation, share: SHARE },
      most: Math.max(now, fastest),
      reach: (verdict, hertz) => reachOfClock(verdict, hertz, scaled(oscillation, hertz)),
      at: (hertz) => {
        const part = can.part.number.replace(/\d[\d./]*\s*[kMG]?Hz/i, `${Math.floor(hertz)}Hz`);
        const edited = applyEdits(text, [{ kind: "part", chip: can.ref, part }]);
        const other = edited === undefined ? undefined : this.#read(edited);
        return other && this.#prove(other, what);
      },
    };
  }

  /** The longest wire by its delay alone; what it adds to the load stays as the building style has it. */
  #wireLimit(now: Outcome): Limit {
    const { wireDelay } = this.#circuit;
    return greatest(
      {
        now: wireDelay.max,
        most: LONGEST_WIRE,
        step: WIRE_STEP,
        share: SHARE,
        reach: reachOfWires,
        at: (max) =>
          this.#prove(
            { ...this.#circuit, wireDelay: { min: wireDelay.min, max: fs(Math.floor(max)) } },
            "the longest wires",
          ),
      },
      { start: { value: wireDelay.max, outcome: now } },
    );
  }

  /**
   * Other parts for one chip on the chains that bind the clock, the most promising first. Each is proved where the chains
   * promise its highest frequency, and no further once it cannot be more than the best.
   */
  *#swaps({ value, outcome, oscillation }: ClockLimit): Generator<readonly SwapResult[]> {
    if (value === undefined || !outcome) return;
    const reach = (verdict: TimedVerdict) => reachOfClock(verdict, value, scaled(oscillation, value));
    const results: SwapResult[] = [];
    for (const swap of swapsFor(this.#circuit, outcome.verdicts.filter(isTimed), reach)) {
      if (this.#isStopped || results.length === MOST_SWAPS) return;
      const best = Math.max(value, ...results.map(({ clock }) => clock.value ?? 0));
      // What no part in this place lets go faster, this one does not either.
      if (swap.promised <= best + SWAP_STEP) continue;
      const text = applyEdits(this.#text, [swap.edit]);
      const circuit = text === undefined ? undefined : this.#read(text);
      if (text === undefined || !circuit || failingLevels(circuit).length > 0) continue;
      const dimension = this.#clockOf(text, SWAP_STEP, `${swap.chip} as ${swap.to}`);
      if (!dimension) continue;
      const clock = greatest(dimension, { first: swap.promised - SWAP_STEP / 2, least: best });
      results.push({ swap, clock });
      yield [...results].sort((a, b) => (b.clock.value ?? 0) - (a.clock.value ?? 0));
    }
  }

  #try({ variation, circuit }: Varied, now: Outcome): Tried {
    const outcome = circuit && this.#prove(circuit, variation.value);
    if (!outcome) return notTried(variation);
    const moved = tightestMoved(now, outcome.verdicts);
    return { ...triedOf(variation, outcome), ...(moved && { moved }), isWithin: false };
  }

  /** What lies within the limits that were proved to hold. */
  #within({ variation, circuit }: Varied, now: Outcome): Tried {
    if (!circuit) return notTried(variation);
    const [before, after] = [underLoad(this.#circuit), underLoad(circuit)];
    const moved = tightestMoved(
      now,
      now.verdicts.filter(isTimed).map((verdict) => ({ ...verdict, margin: marginWith(verdict, before, after) })),
    );
    const isWithin = !areFiguresWithin(before, after);
    return { ...triedOf(variation, withVerdicts(circuit, now.verdicts)), ...(moved && { moved }), isWithin };
  }
}

/** A variation with its circuit, absent where the file is not laid out so that it can be edited. */
interface Varied {
  readonly variation: Variation;
  readonly circuit?: Circuit;
  /** Every board of it is one of those that were proved to hold. */
  readonly isWithin: boolean;
  readonly lacking: readonly string[];
}

function notTried(variation: Variation): Tried {
  return { variation, state: "not tried", failing: 0, levels: [], isWithin: false };
}

function triedOf(variation: Variation, { state, failing, electrical, tightest }: Outcome) {
  const all = failing.length + electrical.length;
  return { variation, state, failing: all, levels: electrical, ...(tightest && { tightest }) };
}

/** The margin that a verdict's chains leave with the figures of another circuit with the same wiring. */
function marginWith(verdict: TimedVerdict, before: Circuit, after: Circuit): Fs {
  const { chains, chip, margin } = verdict;
  const refs = new Set([chip, ...[...chains.earlier, ...chains.later].map((step) => step.chip)]);
  const gain = before.chips.reduce((sum, one, index) => {
    const other = after.chips[index];
    return refs.has(one.ref) && other ? sum + gainOf(verdict, one, other.part) : sum;
  }, 0);
  const wires = wiresOf(verdict) * (before.wireDelay.max - after.wireDelay.max);
  return Number.isFinite(gain) ? fs(Math.round(margin + gain * FS_PER_NS + wires)) : margin;
}

/** Of the verdicts whose margin is another one, the one with the least left. */
function tightestMoved(before: Outcome, after: readonly Verdict[]): Moved | undefined {
  const was = new Map(before.verdicts.filter(isTimed).map(({ name, margin }) => [name, margin]));
  const moves = after.filter(isTimed).flatMap(({ name, margin }): readonly Moved[] => {
    const old = was.get(name);
    return old === undefined || old === margin ? [] : [{ name, before: old, after: margin }];
  });
  return moves.reduce<Moved | undefined>((least, one) => (least && least.after <= one.after ? least : one), undefined);
}
