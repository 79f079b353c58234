import { type Circuit, boardOscillators } from "../circuit/index.js";
import { type ElectricalFindings, judgeElectrical, underLoad } from "../electrical/index.js";
import type { Fs } from "../quantity/index.js";
import { type Settled, type Witness, settle } from "../evidence/index.js";
import type { ExactCost, ExactOptions, SettledExactly } from "../exact/index.js";
import { findRaster, timeOfLines } from "../raster/index.js";
import { type Clock, type FrameShape, type Proof, prove } from "../timing/index.js";
import { type IdleAcceptance, countsAgainst, idleInAll } from "../verdict/index.js";
import { observe } from "./observe.js";
import type { Progress } from "./progress.js";

/** What the proof of the timing and the electrical rules say of one circuit. */
export interface Judgement {
  /** The circuit with its delays under the load of its nets: what was proved. */
  readonly loaded: Circuit;
  /** Its failures looked for on boards. */
  readonly proof: Proof;
  /** Boards on which its failures happen, by the name of the verdict. */
  readonly witnesses: ReadonlyMap<string, Witness>;
  /** What deciding margins case by case has cost. */
  readonly exact: ExactCost;
  readonly electrical: ElectricalFindings;
  /** What the file accepts in vain on both sides. */
  readonly idleAcceptances: readonly IdleAcceptance[];
  /** Nothing counts against the circuit. */
  readonly holds: boolean;
}

/** Who wants to know what is known before all is. */
export interface JudgeListener {
  /** The bounds stand; none of the failures has been looked for on a board yet. */
  proved?(bounds: Proof, loaded: Circuit): void;
  /** The timing is judged; the electrical rules are not. */
  settled?(settled: Settled, loaded: Circuit): void;
}

/** How what bounds leave open is decided: it needs a solver, which not every face has at hand. */
export interface JudgeOptions {
  /** Margins that bounds leave open stay bounds without it. */
  readonly decide?: (circuit: Circuit, proof: Proof, options: ExactOptions) => SettledExactly;
  /** Says how long solvers took. */
  readonly clock?: Clock;
}

/** Judges a circuit and shows how far the proof has come, as a share of one frame where the raster is known. */
export async function judge(
  circuit: Circuit,
  progress: Progress,
  listener: JudgeListener = {},
  options: JudgeOptions = {},
): Promise<Judgement> {
  const loaded = underLoad(circuit);
  const bounds = await proveWhole(loaded, progress);
  listener.proved?.(bounds, loaded);
  const settled = await settleAll(loaded, bounds, progress);
  listener.settled?.(settled, loaded);
  const { proof, witnesses, cost } = await decideExactly(loaded, settled.proof, progress, options);
  const observed = await observe(circuit, proof, progress);
  const electrical = judgeElectrical(circuit, { ...observed, undrivenFor: undrivenFor(proof) });
  return {
    loaded,
    proof,
    witnesses: stillShown(proof, new Map([...settled.witnesses, ...witnesses])),
    exact: cost,
    electrical,
    idleAcceptances: idleInAll(proof.idleAcceptances, electrical.idleAcceptances),
    holds: ![...proof.verdicts, ...electrical.verdicts].some(countsAgainst),
  };
}

/** The boards of verdicts that still fail. */
function stillShown({ verdicts }: Proof, witnesses: ReadonlyMap<string, Witness>): ReadonlyMap<string, Witness> {
  const failing = new Set(verdicts.filter(({ state }) => state === "fails").map(({ name }) => name));
  return new Map([...witnesses].filter(([name]) => failing.has(name)));
}

async function settleAll(circuit: Circuit, proof: Proof, progress: Progress): Promise<Settled> {
  return progress.during("looking for boards that fail", (tell) =>
    settle(circuit, proof, (share) => {
      tell(share, 1);
      return true;
    }),
  );
}

async function decideExactly(
  circuit: Circuit,
  proof: Proof,
  progress: Progress,
  { decide, clock }: JudgeOptions,
): Promise<SettledExactly> {
  if (!decide) return { proof, witnesses: new Map(), cost: { decided: 0, solverCalls: 0, solverTime: 0, time: 0 } };
  return progress.during("deciding case by case", (tell) =>
    decide(circuit, proof, {
      ...(clock && { clock }),
      onProgress(share) {
        tell(share, 1);
        return true;
      },
    }),
  );
}

/** Proves a circuit and shows how far it has come. */
export async function proveWhole(circuit: Circuit, progress: Progress): Promise<Proof> {
  const frame = frameOf(circuit);
  const expected = frameTicks(circuit, frame);
  return progress.during("proving", (tell) =>
    prove(circuit, {
      ...(frame && { frame }),
      onProgress(ticks) {
        tell(ticks, expected);
        return true;
      },
    }),
  );
}

/** How long each net goes undriven at most, by its name. */
function undrivenFor({ verdicts }: Proof): ReadonlyMap<string, Fs> {
  const gaps = new Map<string, Fs>();
  for (const { rule, symbol, net, required } of verdicts) {
    if (rule !== "undriven" || symbol !== "gap" || required === undefined) continue;
    if (required > (gaps.get(net) ?? -Infinity)) gaps.set(net, required);
  }
  return gaps;
}

/** The raster that the file names, as far as moments are told by it. */
function frameOf({ raster }: Circuit): FrameShape | undefined {
  const found = findRaster(raster);
  if (!found.found) return undefined;
  const { h, v } = found.raster;
  return { lineTime: timeOfLines(found.raster, 1), dots: h.total, lines: v.total };
}

/** Oscillator periods of a frame; 0 where they are not known. */
function frameTicks(circuit: Circuit, frame: FrameShape | undefined): number {
  const period = boardOscillators(circuit)[0]?.part.oscillation?.period;
  return period && frame ? (2 * frame.lineTime * frame.lines) / (period.min + period.max) : 0;
}
