import { type Circuit, type ReadOptions, readCircuit } from "../../circuit/index.js";
import { type ElectricalVerdict, judgeElectrical, underLoad } from "../../electrical/index.js";
import {
  type Check,
  type Proof,
  ProofStopped,
  type Verdict,
  controlNets,
  masterVerdicts,
  prove,
} from "../../timing/index.js";
import { acceptIn, countsAgainst } from "../../verdict/index.js";
import { coneOf } from "./cone.js";

/** What a proof said of a text. */
export interface Evaluation {
  /** Absent where the text is no circuit, or its proof was given up. */
  readonly circuit?: Circuit;
  /** Oscillator periods that were proved. */
  readonly ticks: number;
  /** All timing verdicts, worst first. */
  readonly verdicts: readonly Verdict[];
  /** Those that count against it. */
  readonly failing: readonly Verdict[];
  /** Electrical verdicts that fail and count against it. */
  readonly electrical: readonly ElectricalVerdict[];
  /** How often each place is checked, in checks an oscillator period: what the circuit does, as far as a proof sees it. */
  readonly activity: ReadonlyMap<string, number>;
  /** Only a proof of nearly the whole circuit can tell what was asked; nothing was proved. */
  readonly isWhole?: true;
  /** Where the proof was given up because this fails: the check, and the oscillator periods that were proved before. */
  readonly stopped?: { readonly check: Check; readonly ticks: number };
  /** The least margin of what holds, in femtoseconds. */
  readonly leastMargin?: number;
}

/** A pin of a chip by its names. */
export interface PinName {
  readonly chip: string;
  readonly pin: string;
}

/** Pins about which something is to be proved: everything, or only who drives their nets and when. */
export interface Focus {
  readonly pins: readonly PinName[];
  readonly what: "all" | "owners";
}

/** What a proof of a changed text may take. */
export interface ProofLimits {
  /** Oscillator periods within which the circuit must come back to a state. */
  readonly mostTicks?: number;
  /** Asked every few milliseconds; false gives the proof up. */
  readonly mayGoOn?: () => boolean;
  /** Asked of what fails as soon as it does; true gives the proof up. A file that accepts failures is proved to its end. */
  readonly endsAt?: (check: Check) => boolean;
  /** Only what decides these pins is proved, and no level judged; nothing where that is most of the circuit. */
  readonly only?: Focus;
}

const NOTHING: Evaluation = { verdicts: [], failing: [], electrical: [], activity: new Map(), ticks: 0 };

/**
 * Proves a text: bounds and levels, without boards that show the failures. A text with mistakes has no circuit, nor has one of
 * which the proof was given up.
 */
export function evaluateText(text: string, file: string, options: ReadOptions, limits: ProofLimits = {}): Evaluation {
  const { circuit } = readCircuit(text, file, options);
  if (!circuit) return NOTHING;
  const loaded = underLoad(circuit);
  const proved = limits.only ? coneOf(loaded, pinsOf(loaded, limits.only.pins), limits.only.what) : loaded;
  if (!proved) return { ...NOTHING, isWhole: true };
  const proof = proofOf(proved, loaded, limits);
  if (!("verdicts" in proof)) return { ...NOTHING, ...(proof.stopped && { stopped: proof.stopped }) };
  const { verdicts, cycleTicks, leadTicks } = proof;
  const held = verdicts.flatMap(({ state, margin }) => (state === "holds" && margin !== undefined ? [margin] : []));
  return {
    circuit,
    ticks: cycleTicks + leadTicks,
    verdicts,
    failing: verdicts.filter(countsAgainst),
    activity: activityOf(verdicts, cycleTicks + leadTicks),
    electrical: limits.only ? [] : failingLevels(circuit),
    ...(held.length > 0 && { leastMargin: Math.min(...held) }),
  };
}

/** Electrical verdicts that fail and are not accepted. */
export function failingLevels(circuit: Circuit): readonly ElectricalVerdict[] {
  return judgeElectrical(circuit).verdicts.filter((verdict) => countsAgainst(verdict) && verdict.state === "fails");
}

/** Verdicts that no proof is needed for and that count against a circuit: what figures alone say of its processors. */
export function failingByFigures(circuit: Circuit): readonly Verdict[] {
  const { verdicts } = acceptIn(masterVerdicts(circuit), circuit.accepted, () => "time");
  return verdicts.filter(countsAgainst);
}

function pinsOf({ chips }: Circuit, names: readonly PinName[]) {
  return names.flatMap(({ chip: ref, pin }) => {
    const chip = chips.find((one) => one.ref === ref);
    return chip ? [{ chip, pin }] : [];
  });
}

/** Not a proof where it was given up, or cannot be made of such a circuit. */
function proofOf(
  circuit: Circuit,
  whole: Circuit,
  { mostTicks, mayGoOn, endsAt }: ProofLimits,
): Proof | Pick<Evaluation, "stopped"> {
  let ticks = 0;
  let stopped: Evaluation["stopped"];
  const onFailure = (check: Check): boolean => {
    if (endsAt?.(check) !== true) return true;
    stopped = { check, ticks };
    return false;
  };
  try {
    return prove(circuit, {
      ...(circuit !== whole && { control: controlNets(whole) }),
      ...(mostTicks !== undefined && { mostTicks }),
      ...(endsAt && circuit.accepted.length === 0 && { onFailure }),
      onProgress: (done) => {
        ticks = done;
        return mayGoOn?.() ?? true;
      },
    });
  } catch (error) {
    // A gate that feeds itself, as a change may make of one, is refused by the proof in one way or another.
    if (error instanceof ProofStopped || error instanceof RangeError) return stopped ? { stopped } : {};
    throw error;
  }
}

/**
 * Rules whose checks come each time that something is clocked, written or read. Holds and cycles are checked where data or
 * addresses change, and widths of a clock for each flip-flop that may be told apart: that says nothing of how often.
 */
const OF_ACTIVITY: ReadonlySet<string> = new Set(["set-up", "memory write", "memory read"]);

function activityOf(verdicts: readonly Verdict[], ticks: number): ReadonlyMap<string, number> {
  const rates = new Map<string, number>();
  for (const { rule, symbol, chip, pin, count, state } of verdicts) {
    // A synchroniser takes in at every edge of its clock, and no set-up is asked of it. What should be one and is none may go.
    if (symbol === "synchroniser" && state === "holds") rates.set(`capture ${chip} ${pin}`, 1);
    if (!OF_ACTIVITY.has(rule) || ticks === 0) continue;
    // What is taken in of a memory is asked for by another rule than what others drive on the same wire.
    const place = rule === "memory write" ? `${rule} ${symbol} ${chip} ${pin}` : `capture ${chip} ${pin}`;
    rates.set(place, Math.max(rates.get(place) ?? 0, count / ticks));
  }
  return rates;
}
