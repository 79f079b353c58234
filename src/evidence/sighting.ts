import type { Circuit } from "../circuit/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { type Tables, type Violation, Watch } from "../simulation/index.js";
import type { RuleName, Verdict } from "../timing/index.js";
import { chainEnd } from "./chain-end.js";
import { type Relaxed, gapIn } from "./corner.js";
import { FightWatch } from "./fight-watch.js";
import { type Pair, PairWatch } from "./pair-watch.js";
import { PulseWatch } from "./pulse-watch.js";
import type { Staged } from "./scene.js";

/** A violation as one board shows it. Times in femtoseconds from power-up. */
export interface Sighting {
  /** The two changes that come too near to each other, or the ends of a pulse or a fight. */
  readonly from: Fs;
  readonly to: Fs;
  /** What there was of the time required, as the verdict's `available`; absent where no time decides. */
  readonly available?: Fs;
  /** The margin is the one that was proved: no board can be worse. */
  readonly isWorst: boolean;
}

/** Looks out for the violations of some verdicts while a board runs. */
export class Lookout {
  readonly #circuit: Circuit;
  readonly #verdicts: readonly Verdict[];
  readonly #pairs: ReadonlyMap<Verdict, Pair>;
  readonly #pairWatch: PairWatch;
  readonly #pulses: PulseWatch;
  readonly #watch: Watch;
  readonly #fights: FightWatch;

  constructor(tables: Tables, staged: Staged, verdicts: readonly Verdict[]) {
    this.#circuit = tables.circuit;
    this.#verdicts = verdicts;
    this.#pairs = new Map(
      verdicts.flatMap((verdict) => {
        const pair = pairOf(tables, verdict);
        return pair ? [[verdict, pair] as const] : [];
      }),
    );
    this.#pairWatch = new PairWatch(staged.simulator, [...this.#pairs.values()]);
    const asking = new Set(verdicts.map(({ chip }) => chip));
    const chips = new Set(tables.circuit.chips.filter(({ ref }) => asking.has(ref)));
    this.#watch = new Watch(staged.simulator, { chips });
    this.#fights = new FightWatch(tables, staged.simulator, verdicts);
    const { period, high } = staged.oscillator;
    this.#pulses = new PulseWatch(
      tables,
      staged.simulator,
      verdicts.filter(({ rule }) => rule === "glitch"),
      Math.min(high, period - high) / 2,
    );
  }

  /** What was seen of each verdict so far; those that were not seen are left out. */
  get seen(): ReadonlyMap<Verdict, Sighting> {
    return new Map(
      this.#verdicts.flatMap((verdict) => {
        const sighting = this.#worst(verdict) ?? this.#ordinary(verdict);
        return sighting ? [[verdict, sighting] as const] : [];
      }),
    );
  }

  /** Whether every one was seen at its worst, so that running on shows nothing new. */
  get isDone(): boolean {
    return this.#verdicts.every((verdict) => {
      const pair = this.#pairs.get(verdict);
      return pair ? this.#pairWatch.seen.has(pair) : this.#ordinary(verdict) !== undefined;
    });
  }

  /** The two changes whose gap the verdict speaks of, as far apart as proved. */
  #worst(verdict: Verdict): Sighting | undefined {
    const pair = this.#pairs.get(verdict);
    const seen = pair && this.#pairWatch.seen.get(pair);
    if (!seen || verdict.available === undefined) return undefined;
    const available =
      verdict.rule === "undriven" ? verdict.available : fs(seen.later - seen.earlier + (verdict.allowance ?? 0));
    return {
      from: fs(Math.min(seen.earlier, seen.later)),
      to: fs(Math.max(seen.earlier, seen.later)),
      available,
      isWorst: true,
    };
  }

  /** A violation that need not be the worst, as the simulation itself finds it. */
  #ordinary(verdict: Verdict): Sighting | undefined {
    if (verdict.rule === "glitch") return this.#pulses.seen.get(verdict);
    if (verdict.rule === "contention") return this.#fight(verdict);
    const violation = this.#watch.violations
      .filter((found) => isAt(verdict, found) && found.actual < found.required.time)
      .reduce<Violation | undefined>(
        (worst, found) => (worst && worst.actual <= found.actual ? worst : found),
        undefined,
      );
    if (!violation) return undefined;
    const { actual, worstAt } = violation;
    const isTimed = verdict.margin !== undefined;
    return {
      from: fs(worstAt - Math.max(0, actual)),
      to: fs(worstAt),
      ...(isTimed && { available: fs(actual) }),
      isWorst: isTimed && actual === verdict.available,
    };
  }

  #fight(verdict: Verdict): Sighting | undefined {
    const allowed = this.#circuit.allowedContention;
    const longest = this.#fights.longest(verdict);
    if (!longest || longest.to - longest.from <= allowed) return undefined;
    const [from, to] = [fs(longest.from), fs(longest.to)];
    if (verdict.margin === undefined) return { from, to, isWorst: false };
    const available = fs(allowed - (to - from));
    return { from, to, available, isWorst: available === verdict.available };
  }
}

/** The two changes that a verdict's chains lead to; undefined where no time decides. */
export function pairOf(tables: Tables, { chains, available }: Verdict, relaxed?: Relaxed): Pair | undefined {
  if (!chains || available === undefined) return undefined;
  const [earlier, later] = [
    chainEnd(tables, chains.earlier, chains.between.earlier),
    chainEnd(tables, chains.later, chains.between.later),
  ];
  return earlier && later && { earlier, later, gap: gapIn(chains, relaxed) };
}

/** Whether a violation of the simulation is one of the verdict's rule at the verdict's place. */
function isAt({ rule, symbol, chip, pin, reference }: Verdict, found: Violation): boolean {
  if (found.chip.ref !== chip || found.pin !== pin) return false;
  switch (rule as RuleName) {
    case "memory read":
      return found.rule === "set-up";
    case "memory write":
      return found.rule === rule && found.required.symbol === symbol;
    case "pulse width":
      return found.rule === rule && found.required.kind === symbol.replace("tw", "width");
    case "asynchronous signal":
      return found.rule === "set-up" || found.rule === "hold" || found.rule === "memory write";
    case "set-up":
    case "hold":
    case "recovery":
      return found.rule === rule && found.reference === reference;
    default:
      return found.rule === rule;
  }
}
