import { type Circuit, type ReadOptions, boardOscillators, readCircuit } from "../../circuit/index.js";
import { underLoad } from "../../electrical/index.js";
import { type Oscillation, canSeries, stockFrequencies } from "../../parts/index.js";
import { type Fs, fs } from "../../quantity/index.js";
import { applyEdits } from "../repair/edits.js";
import { type Swap, swapsFor } from "./swaps.js";
import { type Dimension, type Limit, greatest } from "./limit.js";
import { haveSameFigures } from "./same-figures.js";
import { type Outcome, type TimedVerdict, isTimed, outcomeOf, withVerdicts } from "./outcome.js";
import { reachOfClock, reachOfWires } from "./reach.js";
import { type Variation, variationsOf } from "./variants.js";

/** What a variation does to a board; `state` is `not tried` where the time ran out before. */
export interface Tried {
  readonly variation: Variation;
  readonly state: Outcome["state"] | "not tried";
  readonly failing: number;
  readonly tightest?: TimedVerdict;
  /** Of the verdicts whose margin it moves, the one with the least left; absent where it moves none. */
  readonly moved?: Moved;
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
  /** The fastest stock can that is no faster than the limit, in megahertz. */
  readonly stock?: number;
}

/** What one other part in one chip's place does to the highest frequency. */
export interface SwapResult {
  readonly swap: Swap;
  readonly clock: Limit;
}

/** A board's margins against what could be otherwise. */
export interface WhatIf {
  readonly now: Outcome;
  readonly clock?: ClockLimit;
  /** The greatest delay of a wire, in femtoseconds; `now` is the file's. */
  readonly wires: Limit & { readonly now: Fs };
  /** Other parts for one chip, the one that buys most first; absent where nothing is bound by a chip. */
  readonly swaps: readonly SwapResult[];
  readonly tried: readonly Tried[];
  readonly proofs: number;
  /** Whether everything was tried before the time ran out. */
  readonly isComplete: boolean;
}

export interface WhatIfOptions {
  readonly file: string;
  readonly reading: ReadOptions;
  /** Told before each proof how many are done, and how many there will be about. */
  readonly onProof?: (done: number, expected: number) => void;
  /** Asked every few milliseconds; false ends it, and what is known by then is the answer. */
  readonly mayGoOn?: () => boolean;
  /** Milliseconds since some moment. */
  readonly clock: () => number;
}

/** Proofs that a search for a limit takes, about. */
const USUAL_SEARCH = 4;
/** Other parts for one chip whose highest frequency is looked for. */
const MOST_SWAPS = 3;
/** A trial may take so many times the proof of the board itself, and so many milliseconds more: what fails can take for ever. */
const [MOST_TIMES, MOST_MORE] = [4, 4000];
/** The step of the searches. */
const HERTZ_STEP = 100;
const WIRE_STEP = fs(1000);
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
    const now = this.#prove(this.#circuit);
    if (!now) throw new RangeError("no proof can be made of the circuit");
    this.#mostTime = MOST_TIMES * (this.#options.clock() - began) + MOST_MORE;
    const variations = variationsOf(this.#circuit);
    this.#expected = 1 + variations.length + (2 + MOST_SWAPS) * USUAL_SEARCH;
    const clock = this.#clockLimit(this.#text, now);
    const wires = this.#wireLimit(now);
    const swaps = clock ? this.#swaps(clock) : [];
    const tried = variations.map((variation) => this.#try(variation, now));
    const stock = stockFrequencies.filter((megahertz) => megahertz * 1e6 <= (clock?.value ?? 0)).at(-1);
    return {
      now,
      ...(clock && { clock: { ...clock, now: hertzOf(clock.oscillation), ...(stock !== undefined && { stock }) } }),
      wires: { ...wires, now: this.#circuit.wireDelay.max },
      swaps,
      tried,
      proofs: this.#proofs,
      isComplete: !this.#isStopped,
    };
  }

  #read(text: string): Circuit | undefined {
    return readCircuit(text, this.#options.file, this.#options.reading).circuit;
  }

  #prove(circuit: Circuit): Outcome | undefined {
    const { clock, mayGoOn, onProof } = this.#options;
    if (this.#isStopped) return undefined;
    onProof?.(this.#proofs, Math.max(this.#expected, this.#proofs + 1));
    this.#proofs++;
    const deadline = clock() + this.#mostTime;
    return outcomeOf(circuit, undefined, () => {
      this.#isStopped ||= mayGoOn?.() === false;
      return !this.#isStopped && clock() < deadline;
    });
  }

  #proveText(text: string | undefined): Outcome | undefined {
    const circuit = text === undefined ? undefined : this.#read(text);
    return circuit && this.#prove(circuit);
  }

  /** The highest frequency of a text's oscillator, beginning with what a proof said of it at `provedAt`. */
  #clockLimit(text: string, start: Outcome): (Limit & { readonly oscillation: Oscillation }) | undefined {
    const circuit = this.#read(text);
    const can = circuit && boardOscillators(circuit)[0];
    const oscillation = can?.part.oscillation;
    if (!oscillation) return undefined;
    const now = hertzOf(oscillation);
    const series = canSeries.find(({ name }) => oscillation.source.column?.startsWith(name));
    const fastest = 1e6 * (series?.megahertz[1] ?? 0);
    const dimension: Dimension = {
      now,
      most: Math.max(now, fastest),
      step: HERTZ_STEP,
      reach: (verdict, hertz) => reachOfClock(verdict, hertz, scaled(oscillation, hertz)),
      at: (hertz) => {
        const part = can.part.number.replace(/\d[\d./]*\s*[kMG]?Hz/i, `${Math.floor(hertz)}Hz`);
        return this.#proveText(applyEdits(text, [{ kind: "part", chip: can.ref, part }]));
      },
    };
    return { ...greatest(dimension, start), oscillation };
  }

  /** The longest wire by its delay alone; what it adds to the load stays as the building style has it. */
  #wireLimit(now: Outcome): Limit {
    const { wireDelay } = this.#circuit;
    return greatest(
      {
        now: wireDelay.max,
        most: LONGEST_WIRE,
        step: WIRE_STEP,
        reach: reachOfWires,
        at: (max) => this.#prove({ ...this.#circuit, wireDelay: { min: wireDelay.min, max: fs(Math.floor(max)) } }),
      },
      now,
    );
  }

  /** Other parts for one chip on the chains that bind the clock, the most promising first, each with its own highest frequency. */
  #swaps({ value, outcome, oscillation }: Limit & { readonly oscillation: Oscillation }): readonly SwapResult[] {
    if (value === undefined || !outcome) return [];
    const reach = (verdict: TimedVerdict) => reachOfClock(verdict, value, scaled(oscillation, value));
    const found = swapsFor(this.#circuit, outcome.verdicts.filter(isTimed), reach).slice(0, MOST_SWAPS);
    return found
      .flatMap((swap): readonly SwapResult[] => {
        const text = applyEdits(this.#text, [swap.edit]);
        const outcomeNow = this.#proveText(text);
        if (text === undefined || !outcomeNow) return [];
        const clock = this.#clockLimit(text, outcomeNow);
        return clock && !this.#isStopped ? [{ swap, clock }] : [];
      })
      .sort((a, b) => (b.clock.value ?? 0) - (a.clock.value ?? 0));
  }

  #try(variation: Variation, now: Outcome): Tried {
    const text = applyEdits(this.#text, variation.edits);
    const circuit = text === undefined ? undefined : this.#read(text);
    if (!circuit) return { variation, state: "not tried", failing: 0 };
    const isSame = haveSameFigures(underLoad(circuit), underLoad(this.#circuit));
    const outcome = isSame ? withVerdicts(circuit, now.verdicts) : this.#prove(circuit);
    if (!outcome) return { variation, state: "not tried", failing: 0 };
    const { state, failing, electrical, tightest } = outcome;
    const moved = tightestMoved(now, outcome);
    return {
      variation,
      state,
      failing: failing.length + electrical.length,
      ...(tightest && { tightest }),
      ...(moved && { moved }),
    };
  }
}

/** A can of the same kind at another frequency. */
function scaled(oscillation: Oscillation, hertz: number): Oscillation {
  const factor = hertzOf(oscillation) / hertz;
  const { min, max } = oscillation.period;
  return { ...oscillation, period: { min: fs(Math.floor(min * factor)), max: fs(Math.ceil(max * factor)) } };
}

function hertzOf({ hertz: { numerator, denominator } }: Oscillation): number {
  return Number(numerator) / Number(denominator);
}

/** Of the verdicts whose margin is another one, the one with the least left. */
function tightestMoved(before: Outcome, after: Outcome): Moved | undefined {
  const was = new Map(before.verdicts.filter(isTimed).map(({ name, margin }) => [name, margin]));
  const moves = after.verdicts.filter(isTimed).flatMap(({ name, margin }): readonly Moved[] => {
    const old = was.get(name);
    return old === undefined || old === margin ? [] : [{ name, before: old, after: margin }];
  });
  return moves.reduce<Moved | undefined>((least, one) => (least && least.after <= one.after ? least : one), undefined);
}
