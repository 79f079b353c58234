import { type Proof, type Verdict, prove } from "../../../src/timing/index.js";
import { ExactStage } from "../../../src/exact/index.js";
import { type Run, runBoard } from "../waves-run.js";
import { type MarginQuestion, type Place, questionsOf } from "./margin-questions.js";
import { TooManyWays } from "./order-tree.js";
import { NotTold, RaceAtStrobe, RaceEncoding } from "./race-encoding.js";
import { type RacingCircuit, circuitOf } from "./random-racing-circuit.js";
import { type Solver, not } from "./smt.js";

/** A circuit whose state takes longer to come back is not asked about. */
const MOST_TICKS = 14;
/** Oscillator periods after the last that is judged, in which its changes come. */
const MORE_TICKS = 2;
const LONGEST_PROOF_TICKS = 5000;

/** Where the proof and the solver do not agree. */
export interface Difference {
  readonly place: string;
  /** Some board is worse than proved, none is as bad as proved, or the proof has no such check. */
  readonly what: "optimistic" | "pessimistic" | "never checked";
  readonly proved?: number;
}

export interface Asked {
  readonly verdict: Verdict;
  readonly question: MarginQuestion;
}

/** What came of holding one circuit's proof against the solver. */
export interface Held {
  /** Why nothing could be asked. */
  readonly why?: "too long" | "too many orders" | "not told" | "fails otherwise";
  /** The pulse at a strobe that was asked about instead of margins: whether a board has it. */
  readonly pulse?: "happens" | "never happens";
  readonly asked: readonly Asked[];
  readonly differences: readonly Difference[];
  /** Outputs with pulses that may vanish. */
  readonly vanishing: number;
}

const nothing: Held = { asked: [], differences: [], vanishing: 0 };

/** Rules that are asked about; a failure of another one that makes what follows uncertain keeps a circuit from being asked. */
const timed: ReadonlySet<string> = new Set(["set-up", "hold", "pulse width", "clock period", "contention"]);
const harmless: ReadonlySet<string> = new Set([...timed, "power-up", "glitch", "undriven"]);

/**
 * Holds every margin of a circuit's proof against the solver: no board has less by a femtosecond, and some board has no more
 * than one above it. Of a circuit with many places only so many are asked about.
 */
export async function holdMargins(racing: RacingCircuit, solver: Solver, mostPlaces = Infinity): Promise<Held> {
  const circuit = circuitOf(racing);
  const bounds = prove(circuit, { mostTicks: LONGEST_PROOF_TICKS });
  if (bounds.cycleTicks === 0) return { ...nothing, why: "too long" };
  const stage = new ExactStage(circuit, bounds);
  const verdicts = bounds.verdicts.map((verdict) => (verdict.rule === "glitch" ? stage.settle(verdict) : verdict));
  const proof = { ...bounds, verdicts };
  const known = new Map<Verdict, Verdict>();
  /** Margins are decided as they are asked for. */
  const settled = (verdict: Verdict) => {
    const found = known.get(verdict) ?? stage.settle(verdict);
    known.set(verdict, found);
    return found;
  };
  if (proof.verdicts.some(({ rule, state }) => state !== "holds" && !harmless.has(rule))) {
    return { ...nothing, why: "fails otherwise" };
  }
  const run = runBoard(circuit, 1, "typical", MOST_TICKS + MORE_TICKS);
  const back = comesBack(run);
  if (back === undefined) return { ...nothing, why: "too long" };
  const { ticks, cycleTicks } = back;
  if (isGoneOnOtherwise(racing, proof, cycleTicks)) return { ...nothing, why: "not told" };
  const tapes = circuit.nets.flatMap(({ name }, index) => {
    const tape = run.tapes[index];
    return tape ? [[name, tape] as const] : [];
  });
  try {
    const encoding = new RaceEncoding(racing, ticks + MORE_TICKS, { start: run.start, tapes: new Map(tapes) });
    if (proof.verdicts.some(isGlitch)) return falseAlarm(proof);
    const fails = (place: Place) => {
      const bound = proof.verdicts.find((one) => isAt(one, place));
      const verdict = bound && settled(bound);
      return verdict?.state === "fails" ? verdict.available : undefined;
    };
    const all = questionsOf(racing, encoding, ticks, fails);
    const first = racing.seed % Math.max(1, all.length);
    const questions = [...all.slice(first), ...all.slice(0, first)].slice(0, mostPlaces);
    return await held(proof, encoding, questions, solver, settled);
  } catch (error) {
    if (error instanceof RaceAtStrobe) return await pulseAt(proof, error, solver);
    if (error instanceof TooManyWays) return { ...nothing, why: "too many orders" };
    if (error instanceof NotTold) return { ...nothing, why: "not told" };
    throw error;
  }
}

/**
 * Whether the proof may have gone on in another way than a board does. After a capture that fails, or a pulse that may vanish
 * at a clock, it goes on as the builder meant it: that is another way where the state comes back after another time, and
 * nobody knows which way is meant where a change is too near to its capture on either side.
 */
function isGoneOnOtherwise(
  { cells }: RacingCircuit,
  { verdicts, cycleTicks }: Proof,
  boardCycleTicks: number,
): boolean {
  const missed = verdicts.filter(
    ({ rule, state }) => (rule === "set-up" || rule === "hold" || rule === "pulse width") && state === "fails",
  );
  const isRead = (ref: string) => {
    const net = cells.find((cell) => cell.ref === ref)?.net;
    return cells.some(({ feeds }) => Object.values(feeds).some((from) => from === net));
  };
  const isEitherWay = missed.some(({ rule, chip, pin }) =>
    missed.some((one) => one.rule !== rule && one.chip === chip && one.pin === pin && isRead(chip)),
  );
  return isEitherWay || (missed.length > 0 && cycleTicks !== boardCycleTicks);
}

async function held(
  proof: Proof,
  encoding: RaceEncoding,
  questions: readonly MarginQuestion[],
  solver: Solver,
  settled: (verdict: Verdict) => Verdict,
): Promise<Held> {
  const asked: Asked[] = [];
  const differences: Difference[] = [];
  for (const question of questions) {
    const place = `${question.rule} ${question.chip} ${question.pin} ${question.symbol} ${question.reference}`;
    if (isOtherSideMissed(proof, question, settled)) continue;
    const bound = proof.verdicts.find((one) => isAt(one, question));
    if (!bound) {
      // Nothing is checked of changes that come long before or after.
      const near = question.isBelow(encoding.periods[0] / 2);
      const [isNear] = await solver.areMet(encoding.definitions.restingOn(near), [near]);
      if (isNear) differences.push({ place, what: "never checked" });
      continue;
    }
    const verdict = settled(bound);
    asked.push({ verdict, question });
    // Where nothing tells a driver to let go, any fight will do.
    const proved = verdict.margin ?? 0;
    const isWorse = verdict.margin === undefined ? [] : [question.isBelow(proved - 1)];
    const terms = [...isWorse, question.isBelow(proved + 1, true)];
    const met = await solver.areMet(encoding.definitions.restingOn(terms.join(" ")), terms);
    if (isWorse.length > 0 && met[0]) differences.push({ place, what: "optimistic", proved });
    // Where no board has such edges there is no margin to attain.
    if (!met.at(-1) && !isOfNoEdges(verdict)) differences.push({ place, what: "pessimistic", proved });
  }
  return { asked, differences, vanishing: encoding.vanishing };
}

/** Whether the edges that the bounds see come on no board, so that none has less than was looked at. */
function isOfNoEdges({ exact }: Verdict): boolean {
  const { pairs = [] } = exact?.certificate ?? {};
  const hasGap = pairs.some(({ cases }) => cases.some(({ gaps }) => gaps.some(({ isOtherSide }) => !isOtherSide)));
  return pairs.length > 0 && !hasGap;
}

/** A change that misses a capture on one side counts on that side alone, and the solver cannot know on which it is meant. */
function isOtherSideMissed(
  { verdicts }: Proof,
  { rule, chip, pin }: MarginQuestion,
  settled: (verdict: Verdict) => Verdict,
): boolean {
  const other = rule === "set-up" ? "hold" : rule === "hold" ? "set-up" : undefined;
  return verdicts.some(
    (one) => one.rule === other && one.chip === chip && one.pin === pin && settled(one).state === "fails",
  );
}

/** The first strobe at which a pulse may come or not: whether the solver finds it so, and whether the proof says so. */
async function pulseAt(
  { verdicts }: Proof,
  { ref, pin, pulses, definitions }: RaceAtStrobe,
  solver: Solver,
): Promise<Held> {
  let happens = false;
  for (const pulse of pulses) {
    const [comes, stays] = await solver.areMet(definitions.restingOn(pulse), [pulse, not(pulse)]);
    happens ||= comes === true && stays === true;
  }
  // One that follows from two edges in order is a pulse that is too short.
  const isProved = verdicts.some(
    ({ rule, state, ...at }) =>
      ((rule === "glitch" && state !== "holds") || (rule === "pulse width" && state === "fails")) &&
      at.chip === ref &&
      at.pin === pin,
  );
  const place = `glitch ${ref} ${pin}`;
  // No sheet asks for a least width at an output enable, so two edges that come in order are no failure there.
  if (!isProved && (!happens || pin === "OE#")) return { ...nothing, why: "not told" };
  return {
    ...nothing,
    pulse: happens ? "happens" : "never happens",
    differences: happens === isProved ? [] : [{ place, what: happens ? "optimistic" : "pessimistic" }],
  };
}

/** Whether the proof says that a pulse may come. */
function isGlitch({ rule, state }: Verdict): boolean {
  return rule === "glitch" && state !== "holds";
}

function falseAlarm({ verdicts }: Proof): Held {
  const places = verdicts.filter(isGlitch).map(({ name }) => name);
  return {
    ...nothing,
    pulse: "never happens",
    differences: places.map((place) => ({ place, what: "pessimistic" })),
  };
}

/**
 * Oscillator periods after which a board has come back to levels that it had, in two periods one after the other, and how long
 * before it had them.
 */
function comesBack({ tapes, start, period }: Run): { readonly ticks: number; readonly cycleTicks: number } | undefined {
  const seen = new Map<string, number>();
  let last = "";
  for (let tick = 0; tick < MOST_TICKS; tick++) {
    const levels = tapes.map((tape) => tape.valueAt(start + tick * period - 1)).join("");
    const both = `${last} ${levels}`;
    const before = seen.get(both);
    if (before !== undefined) return { ticks: tick, cycleTicks: tick - before };
    seen.set(both, tick);
    last = levels;
  }
  return undefined;
}

function isAt(verdict: Verdict, { rule, chip, pin, symbol, reference }: Place): boolean {
  if (verdict.rule !== rule || verdict.chip !== chip || verdict.pin !== pin) return false;
  return rule === "contention" ? verdict.reference === reference : verdict.symbol === symbol;
}
