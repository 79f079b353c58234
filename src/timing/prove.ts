import { type Circuit, boardOscillators } from "../circuit/index.js";
import type { Fs, Range } from "../quantity/index.js";
import { type IdleAcceptance, type NameParts, acceptIn, worstFirst } from "../verdict/index.js";
import type { Check } from "./check.js";
import { type Coverage, coverageOf } from "./coverage.js";
import { withCrossings } from "./crossings.js";
import { TooManyStates } from "./dependent-part.js";
import { type Exploration, explore } from "./explore.js";
import { judge, noSheetGives } from "./judge.js";
import { FINEST_OUTSIDE_STEP_TICKS, type Model, buildModel } from "./model.js";
import { masterVerdicts } from "./master-verdicts.js";
import { powerUp } from "./power-up/power-up.js";
import { powerUpVerdicts } from "./power-up/verdicts.js";
import { refine } from "./refine.js";
import { type FrameShape, cycleOf, occasionAt } from "./occasion.js";
import type { PathId } from "./paths.js";
import { selfEndingPulse } from "./self-ending.js";
import { withMeanTime } from "./synchroniser-time.js";
import { undescribedVerdicts } from "./undescribed.js";
import { untimed } from "./untimed.js";
import type { Verdict } from "./verdict.js";
import { type Clock, type Phase, type Work, noWork, timed } from "./work.js";
import { Unending } from "./unending.js";
import { namePartsOf, uniqueNames } from "./verdict-names.js";

/** The cycle of a video circuit is a frame or a few; after this many oscillator periods without one the proof gives up. */
const MOST_TICKS = 3_900_000;

/** How signals are followed that come at any time: the step of their edges, and for how long the last one is remembered. */
interface Following {
  readonly stepTicks: number;
  readonly memoryTicks: number;
  /** More states than this at one time are given up: a board whose requests come to rest has a few hundred. */
  readonly mostStates: number;
}

/**
 * Ways of following them, tried in turn: the last ones let a signal change sooner than it may, and so leave few states. Two
 * signals leave as many as there are pairs of states of each; most die out where a change has come to rest before the next.
 */
const WAYS_TO_FOLLOW: readonly Following[] = [
  { stepTicks: FINEST_OUTSIDE_STEP_TICKS, memoryTicks: Infinity, mostStates: 600 },
  { stepTicks: 2 * FINEST_OUTSIDE_STEP_TICKS, memoryTicks: Infinity, mostStates: 600 },
  { stepTicks: 1, memoryTicks: 8, mostStates: 600 },
  { stepTicks: 1, memoryTicks: 16, mostStates: 6000 },
];

export interface ProveOptions {
  /**
   * Called every few milliseconds, however long the proof takes, with the oscillator periods that are done; return false to
   * stop. A thread that is busy proving hears nothing: look at shared memory here.
   */
  readonly onProgress?: (ticksDone: number) => boolean | undefined;
  /**
   * Called with each check that fails as soon as it is met, the same place many times; return false to stop. A failure that is
   * met is never taken back, but a file may accept it.
   */
  readonly onFailure?: (check: Check) => boolean | undefined;
  /** Stops the proof as well, where something in this thread aborts it. */
  readonly signal?: AbortSignal;
  /** Milliseconds since some moment: where it is given, `Proof.work` says how long each phase took. */
  readonly clock?: Clock;
  /** The raster's size, so that moments can be told as lines and dots. */
  readonly frame?: FrameShape;
  /** Oscillator periods within which the circuit must come back to a state; 3.9 million by default. */
  readonly mostTicks?: number;
  /** Of a part of another circuit: the nets that control something in that one, as `controlNets` gives them. */
  readonly control?: ReadonlySet<number>;
}

export interface Proof {
  /** Worst first. */
  readonly verdicts: readonly Verdict[];
  /** Oscillator periods until the control state repeats; 0 where it was not found to. */
  readonly cycleTicks: number;
  /** Oscillator periods before the cycle was entered. */
  readonly leadTicks: number;
  /** Limits of the oscillator's period; absent without an oscillator. */
  readonly period?: Range<Fs>;
  /** Different situations that were proved. */
  readonly situations: number;
  /** What it has cost; absent where nothing was proved. */
  readonly work?: Work;
  /** What was looked at, and how it is known that nothing else can occur; absent where nothing was proved. */
  readonly coverage?: Coverage;
  /** Every figure that was asked for and that no sheet on record gives. */
  readonly missing: readonly string[];
  readonly idleAcceptances: readonly IdleAcceptance[];
}

/** Thrown when `onProgress`, `onFailure` or `signal` asks to stop. */
export class ProofStopped extends Error {}

/**
 * Proves every rule at every place of a circuit, over every state that it runs through. What keeps a rule from being proved
 * is itself a verdict: a missing figure, no oscillator, a state that does not come back.
 *
 * @throws ProofStopped when `onProgress` or `onFailure` returns false or `signal` is aborted
 */
export function prove(circuit: Circuit, options: ProveOptions = {}): Proof {
  const cans = boardOscillators(circuit);
  const [can] = cans;
  if (!can || cans.length > 1) return nothingProved(circuit, [oscillatorVerdict(cans.map(({ ref }) => ref))]);
  if (!can.nets.has(can.part.behaviour.clockSource?.pin ?? "")) {
    return nothingProved(circuit, [untimed("oscillator", OSCILLATOR, "not covered", `${can.ref} drives no net.`)]);
  }
  const work = noWork();
  const during = <T>(phase: Phase, act: () => T): T => timed(work, options.clock, phase, act);
  const { model, exploration, unending } = during("following", () => followWhatCan(circuit, options, work));
  work.time.following -= work.time.model + work.time.situations;
  if (unending) return nothingProved(circuit, unendingVerdicts(model, unending));
  if (!exploration) return nothingProved(circuit, [repetitionVerdict(options.mostTicks ?? MOST_TICKS)], model);
  const { cycleTicks, leadTicks, situations } = exploration;
  const refined = during("refining", () =>
    refine(circuit, model, exploration.places, () => stopIfAsked(options, cycleTicks + leadTicks)),
  );
  stopIfAsked(options, cycleTicks + leadTicks);
  const beganVerdicts = options.clock?.() ?? 0;
  const found = withCrossings(refined);
  const cycle = cycleOf(leadTicks, cycleTicks, model.time.period, options.frame);
  const started = during("power-up", () => powerUp(circuit, can));
  const frameTicks = cycle.lineTicks && cycle.shape && cycle.lineTicks * cycle.shape.lines;
  const proved = { circuit, cycleTicks, longestPeriod: model.time.period.max, ...(frameTicks && { frameTicks }) };
  const names = uniqueNames(found.map(({ place }) => place.worst));
  const judged = found.map(({ model: own, place }, index) => {
    const { worst, tick } = place;
    // The edge that captures or ends is what a builder looks for, not the later moment at which the check could be made.
    const reference = worst.rule === "hold" || /^t(DH|WR)$/.test(worst.symbol) ? worst.earlier : worst.later;
    const occasion = occasionAt(Math.max(0, tick + (reference?.tick ?? 0)), cycle);
    const verdict = judge(own, place, names[index] ?? { head: worst.rule, item: worst.pin, tail: "" }, occasion);
    return withMeanTime(verdict, { model: own, place }, started.clockRates);
  });
  const proof: Omit<Proof, "work"> = {
    ...finished(circuit, [
      ...(model.outsideStepTicks > 0 ? [] : [unfollowedVerdict(circuit)]),
      ...feedbackVerdicts(model),
      ...toComeVerdicts(circuit),
      ...masterVerdicts(circuit),
      ...undescribedVerdicts(circuit),
      ...sharedWithOutsideVerdicts(model),
      ...powerUpVerdicts(started, proved),
      ...judged,
      ...figureVerdicts(model, judged),
    ]),
    coverage: coverageOf(model, exploration, started, proved),
    cycleTicks,
    leadTicks,
    period: model.time.period,
    situations,
    missing: [...model.missing],
  };
  if (options.clock) work.time.verdicts = options.clock() - beganVerdicts - work.time["power-up"];
  return { ...proof, work };
}

/**
 * The nets of a circuit from which a way leads to a clock, an enable, a strobe or an asynchronous input, by id. Throws RangeError
 * when it has not exactly one oscillator.
 */
export function controlNets(circuit: Circuit): ReadonlySet<number> {
  return buildModel(circuit).control.nets;
}

/** With all that signals from outside do, in as fine steps as can be followed; without it where none can. */
function followWhatCan(
  circuit: Circuit,
  options: ProveOptions,
  work: Work,
): { model: Model; exploration: Exploration | undefined; unending?: Unending } {
  const build = (stepTicks: number, memoryTicks: number, mostStates?: number) =>
    timed(work, options.clock, "model", () =>
      buildModel(circuit, stepTicks, memoryTicks, {
        ...(mostStates !== undefined && { mostStates }),
        control: options.control,
      }),
    );
  for (const { stepTicks, memoryTicks, mostStates } of WAYS_TO_FOLLOW) {
    const model = build(stepTicks, memoryTicks, mostStates);
    try {
      return { model, exploration: follow(model, options, work) };
    } catch (error) {
      if (error instanceof Unending) {
        if (memoryTicks < Infinity) continue;
        return { model, exploration: undefined, unending: error };
      }
      if (!(error instanceof TooManyStates)) throw error;
    }
  }
  const quiet = build(0, Infinity);
  try {
    return { model: quiet, exploration: follow(quiet, options, work) };
  } catch (error) {
    if (error instanceof Unending) return { model: quiet, exploration: undefined, unending: error };
    throw error;
  }
}

/** Undefined where the state does not come back within the ticks allowed. */
function follow(model: Model, options: ProveOptions, work: Work): Exploration | undefined {
  const { clock, mostTicks = MOST_TICKS } = options;
  const { differencesFound, differencesKnown } = work;
  let isOver = false;
  try {
    return explore(model, {
      ...{ work, clock },
      progress(ticksDone) {
        isOver = ticksDone >= mostTicks;
        stopIfAsked(options, ticksDone);
        return !isOver;
      },
      failed(check) {
        if (options.onFailure?.(check) === false) throw new ProofStopped(`the proof was stopped by ${check.rule}`);
      },
    });
  } catch (error) {
    if (isOver && !(error instanceof ProofStopped)) return undefined;
    throw error;
  } finally {
    work.differencesFound = differencesFound + model.time.differencesFound;
    work.differencesKnown = differencesKnown + model.time.differencesKnown;
  }
}

/** Throws ProofStopped where whoever asked for the proof does not want it any more. */
function stopIfAsked({ onProgress, signal }: ProveOptions, ticksDone: number): void {
  if (onProgress?.(ticksDone) === false || signal?.aborted) throw new ProofStopped("the proof was stopped");
}

function nothingProved(circuit: Circuit, why: readonly Verdict[], model?: Model): Proof {
  const missing = model ? [...model.missing] : [];
  const verdicts = [...why, ...(model ? figureVerdicts(model, []) : [])];
  const period = model && { period: model.time.period };
  return { ...finished(circuit, verdicts), cycleTicks: 0, leadTicks: 0, ...period, situations: 0, missing };
}

function finished({ accepted }: Circuit, verdicts: readonly Verdict[]): Pick<Proof, "verdicts" | "idleAcceptances"> {
  const marked = acceptIn(verdicts, accepted, () => "time");
  return { verdicts: worstFirst(marked.verdicts), idleAcceptances: marked.idleAcceptances };
}

/** One verdict for every missing figure that is not itself the requirement of a verdict. */
function figureVerdicts({ missing, circuit }: Model, judged: readonly Verdict[]): readonly Verdict[] {
  const delays = new Set(
    judged.flatMap(({ chains }) =>
      chains
        ? [...chains.earlier, ...chains.later].flatMap((s) =>
            s.missing === undefined ? [] : `${s.chip}: ${s.missing}`,
          )
        : [],
    ),
  );
  const told = new Set(judged.flatMap((verdict) => verdict.missing));
  return [...missing]
    .filter((figure) => delays.has(figure) || !told.has(figure))
    .map((figure) => {
      const [chip = "", what = ""] = figure.split(": ", 2);
      const part = circuit.chips.find(({ ref }) => ref === chip)?.part.number ?? "";
      const short = what.replace(`${part} `, "").split(", ")[0] ?? what;
      const nameParts = { head: `figure ${chip}`, item: short, tail: "" };
      return untimed("figure", nameParts, "not covered", noSheetGives([figure]), { chip, part, missing: [figure] });
    });
}

const OSCILLATOR: NameParts = { head: "oscillator", item: "", tail: "" };

function oscillatorVerdict(cans: readonly string[]): Verdict {
  const found = cans.length === 0 ? "none" : `${cans.length}: ${cans.join(", ")}`;
  const note = `The proof needs exactly one oscillator can, whose edges all times count from; the circuit has ${found}.`;
  return untimed("oscillator", OSCILLATOR, "not covered", note);
}

function unfollowedVerdict(circuit: Circuit): Verdict {
  const names = circuit.inputs.flatMap(({ net, timing }) =>
    timing.kind === "any time" ? [circuit.nets[net]?.name ?? ""] : [],
  );
  const note =
    `What ${names.join(", ")} can do at any time leads to more states than are followed, as it does where set-up or hold ` +
    "fails and nothing comes to rest. The other verdicts are proved with these signals quiet; mend the failures first.";
  return untimed("asynchronous signal", { head: "asynchronous signals", item: "", tail: "" }, "not settled", note);
}

/** One failure for each loop of gates that is no latch: it may swing, or stand anywhere. */
function feedbackVerdicts({ loops }: Model): readonly Verdict[] {
  return loops
    .filter(({ isLatch }) => !isLatch)
    .map(({ outputs }) => {
      const nets = [...new Set(outputs.map(({ output }) => output.net.net.name))];
      const ways = outputs.map(({ chip, pin, output }) => `${chip.chip.ref} ${pin.name} to ${output.pin}`).join(", ");
      const note =
        `${nets.join(", ")} lead back to themselves through gates alone: ${ways}. Nothing tells when they come to rest, so ` +
        "what follows from them is not proved. Put a flip-flop into the loop.";
      return untimed("feedback", { head: "feedback", item: nets.join(", "), tail: "" }, "fails", note);
    });
}

/** One for each net to come that a chip looks at: what rests on it is not judged. */
function toComeVerdicts({ toCome, nets }: Circuit): readonly Verdict[] {
  return toCome.flatMap((id) => {
    const net = nets[id];
    if (!net || net.receivers.length === 0) return [];
    const places = net.receivers.map(({ chip, pin }) => `${chip.ref} ${pin}`).join(", ");
    const note = `Nothing drives ${net.name} yet, so what ${places} can see of it is not judged. Wire it, then prove again.`;
    return untimed("to come", { head: "to come", item: net.name, tail: "" }, "not covered", note, { net: net.name });
  });
}

/** One for each net that a chip drives and something outside too: the file does not say who drives it when. */
function sharedWithOutsideVerdicts({ outside }: Model): readonly Verdict[] {
  return outside.flatMap(({ net: { net, drivers }, input: { timing } }) => {
    if (drivers.length === 0 || timing.kind === "power-up only") return [];
    const chips = [...new Set(drivers.map(({ chip }) => chip.chip.ref))].join(", ");
    const note =
      `${net.name} comes from outside and ${chips} can drive it as well. What comes from outside is not judged there, for ` +
      "nothing says who drives it when. Give the two sides nets of their own, with a buffer between them.";
    const nameParts = { head: "driven from outside", item: net.name, tail: "" };
    return untimed("driven from outside", nameParts, "not covered", note, { net: net.name });
  });
}

/** Changes that go round through a clear, a preset, a latch or gates end at no time that the bounds know of. */
function unendingVerdicts(model: Model, { chip: ref, output, path }: Unending): readonly Verdict[] {
  const loops = feedbackVerdicts(model);
  if (loops.length > 0) return loops;
  const pulse = selfEndingVerdict(model, path);
  if (pulse?.state === "fails") return [pulse];
  const chip = model.circuit.chips.find((one) => one.ref === ref);
  const driven = chip?.nets.get(output)?.name ?? "";
  const what = pulse ? `${pulse.net}, which its own outcome ends,` : `${driven}, which ${ref} ${output} drives,`;
  const note =
    `${what} leads back to itself through a clear, a preset or an open latch, and its changes cannot be followed to an end. ` +
    `So nothing ${pulse ? "else " : ""}was proved. ${SYNCHRONOUS}`;
  const net = pulse?.net ?? driven;
  const untold = untimed("feedback", { head: "feedback", item: net, tail: "" }, "not settled", note, { net });
  return [...(pulse ? [pulse] : []), untold];
}

const SYNCHRONOUS =
  "Let an edge of the clock end what an edge of the clock begins: a counter with a synchronous clear or load, as the 163, has " +
  "no pulse that it cuts short itself.";

/** The verdict on a clear that its own outcome ends. */
function selfEndingVerdict(model: Model, path: PathId): Verdict | undefined {
  const worst = selfEndingPulse(model, path);
  if (!worst) return undefined;
  const verdict = judge(model, { worst, count: 1 }, namePartsOf(worst));
  const more =
    verdict.state === "fails" ? ` Nothing else was proved, for nobody knows what is left set. ${SYNCHRONOUS}` : "";
  return { ...verdict, note: `${verdict.note}${more}` };
}

function repetitionVerdict(ticks: number): Verdict {
  const note =
    `The control state does not come back within ${ticks.toLocaleString("en")} oscillator periods, so not every state ` +
    "was seen and nothing is settled. Look for a counter that no clear or load ever brings back, or one longer than a frame.";
  return untimed("repetition", { head: "repetition", item: "", tail: "" }, "not settled", note);
}
