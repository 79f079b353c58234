import type { Circuit, NetId } from "../../circuit/circuit.js";
import type { Raster } from "../../raster/index.js";
import { type Recording, TooMuchOpen, powerUpMachine } from "../../simulation/compiled/index.js";
import { randomBytes } from "../../simulation/index.js";
import type { Scenario } from "../signature/scenario.js";

/** The edges of a net in one cycle of the model, in oscillator periods from its begin. */
export interface CyclicWave {
  readonly times: Float64Array;
  /** Level after the first edge; levels alternate. */
  readonly first: 0 | 1;
  /** Level where it has no edge. */
  readonly steady: 0 | 1;
}

/** Where in a frame a moment is: lines from the leading edge of vertical sync, dots from that of horizontal sync, both from 0. */
export interface FramePlace {
  readonly line: number;
  readonly dot: number;
}

/** What some nets of the board without faults do over and over, without delays. */
export interface FrameModel {
  /** Of the oscillator, in seconds. */
  readonly period: number;
  /** Oscillator periods after which all does the same again: a frame, where there is a picture. */
  readonly cycle: number;
  /** From one line to the next in oscillator periods, where there are lines. */
  readonly line?: number;
  readonly waves: ReadonlyMap<NetId, CyclicWave>;
  /** Undefined where the circuit has no picture with syncs of their own. */
  placeOf(time: number): FramePlace | undefined;
}

/** Nominal frames on record: two whole ones to see that all repeats, and some for a circuit whose frame is longer. */
const FRAMES_RECORDED = 2.3;
/** Repeats that are tried of a net, and nets whose repeats are: the slowest ones. */
const MOST_REPEATS = 64;
const NETS_FOR_CYCLE = 6;
const MOST_THOROUGH = 5000;

/**
 * Runs the board without faults and keeps what the nets do that repeat with the frame, whatever the memories hold and whoever
 * writes to them; others are left out. Undefined where the outcome hangs on delays at almost every edge, or where nothing
 * repeats.
 */
export function frameModelOf(
  { circuit, edgeFs, frameEdges, raster }: Pick<Scenario, "circuit" | "edgeFs" | "frameEdges" | "raster">,
  nets: readonly NetId[],
): FrameModel | undefined {
  const picture = raster && circuit.picture;
  const syncs = picture ? [picture.hsync, picture.vsync] : [];
  const recorded = [...new Set([...nets, ...syncs])];
  const span = FRAMES_RECORDED * frameEdges * edgeFs;
  try {
    const { recording: usual, periodFs } = recordOf(circuit, recorded, span, "quiet");
    const { recording: others } = recordOf(circuit, recorded, span, "busy");
    const lasting = recorded.flatMap((net): LongWave[] => {
      const wave = waveIn(usual, net, periodFs);
      const other = waveIn(others, net, periodFs);
      return wave && other && isSame(wave, other) ? [wave] : [];
    });
    return cyclicModel(
      lasting,
      span / periodFs,
      periodFs / 1e15,
      picture && raster ? { ...picture, raster } : undefined,
    );
  } catch (error) {
    if (error instanceof TooMuchOpen) return undefined;
    throw error;
  }
}

interface LongWave {
  readonly net: NetId;
  readonly initial: 0 | 1;
  readonly times: Float64Array;
}

/** "busy": other contents, and whatever may come from outside. */
function recordOf(circuit: Circuit, recorded: readonly NetId[], span: number, kind: "quiet" | "busy") {
  const busy = kind === "busy";
  const { machine, inputs } = powerUpMachine(circuit, { seed: 1, busy, recorded, mostThorough: MOST_THOROUGH });
  if (busy) {
    inputs.play(machine.outside);
    for (const chip of circuit.chips) {
      const { memory } = chip.part.behaviour;
      if (memory) machine.load(chip, randomBytes(2 ** memory.address.length, chip.ref, 2));
    }
  }
  machine.run(machine.now + span / FRAMES_RECORDED);
  const recording = machine.record();
  machine.run(machine.now + span);
  return { recording, periodFs: machine.period };
}

/** Absent where its level was not known all the time. */
function waveIn(recording: Recording, net: NetId, periodFs: number): LongWave | undefined {
  const known = recording.knownOf(net);
  if (known.initial === 0 || known.timesFs.length > 0) return undefined;
  const { initial, timesFs } = recording.waveOf(net);
  return {
    net,
    initial: initial === 1 ? 1 : 0,
    times: Float64Array.from(timesFs, (time) => (time - recording.from) / periodFs),
  };
}

function isSame(one: LongWave, other: LongWave): boolean {
  return (
    one.initial === other.initial &&
    one.times.length === other.times.length &&
    one.times.every((time, index) => near(time, other.times[index] ?? NaN))
  );
}

/** Oscillator periods: edges of the model are half a period apart or not at all. */
const SAME_TIME = 1e-3;

function near(a: number, b: number): boolean {
  return Math.abs(a - b) < SAME_TIME;
}

interface Syncs {
  readonly hsync: NetId;
  readonly vsync: NetId;
  readonly raster: Raster;
}

function cyclicModel(
  waves: readonly LongWave[],
  span: number,
  period: number,
  syncs: Syncs | undefined,
): FrameModel | undefined {
  const slowest = waves.filter(({ times }) => times.length > 1).sort((a, b) => a.times.length - b.times.length);
  const repeats = slowest.slice(0, NETS_FOR_CYCLE).flatMap((wave) => shiftsOf(wave, span));
  let best: { readonly cycle: number; readonly repeating: readonly LongWave[] } | undefined;
  for (const cycle of repeats) {
    if (best && near(best.cycle, cycle)) continue;
    const repeating = waves.filter((wave) => repeatsAfter(wave, cycle, span));
    if (repeating.length > (best?.repeating.length ?? 0)) best = { cycle: Math.round(2 * cycle) / 2, repeating };
    if (repeating.length === waves.length) break;
  }
  if (!best) return undefined;
  const { cycle, repeating } = best;
  const longOf = (net: NetId | undefined) => repeating.find((wave) => wave.net === net);
  const [h, v] = [longOf(syncs?.hsync), longOf(syncs?.vsync)];
  const vertical = v && v !== h && syncs ? leadingEdges(v, syncs.raster.v.polarity)[0] : undefined;
  const begin = vertical !== undefined && vertical < span - cycle ? vertical : 0;
  const inCycle = (time: number) => time >= begin - SAME_TIME && time < begin + cycle - SAME_TIME;
  const lines =
    h && syncs && vertical !== undefined
      ? leadingEdges(h, syncs.raster.h.polarity)
          .filter(inCycle)
          .map((time) => time - begin)
      : [];
  const line = lines.length > 1 ? (lines[1] as number) - (lines[0] as number) : undefined;
  return {
    period,
    cycle,
    ...(line !== undefined && { line }),
    waves: new Map(
      repeating.map(({ net, initial, times }) => {
        const from = times.findIndex(inCycle);
        const own = times.filter(inCycle).map((time) => time - begin);
        const before = (from < 0 ? times.filter((time) => time < begin).length : from) % 2 === 0;
        const steady = before ? initial : initial === 1 ? 0 : 1;
        return [net, { times: own, first: steady === 1 ? 0 : 1, steady }];
      }),
    ),
    placeOf: (time) =>
      line === undefined || !syncs ? undefined : placeIn(lines, line, cycle, syncs.raster.h.total, time),
  };
}

/** Times after which a wave may do the same again: from its first rise to later ones. */
function shiftsOf({ times, initial }: LongWave, span: number): readonly number[] {
  const rises = times.filter((_, edge) => edge % 2 === initial);
  const from = rises[0] ?? 0;
  return Array.from(rises.subarray(1, MOST_REPEATS), (time) => time - from).filter((shift) => shift < span / 2);
}

function repeatsAfter({ times }: LongWave, cycle: number, span: number): boolean {
  const shift = edgesBefore(times, cycle - SAME_TIME);
  // As many edges in a cycle as bring the level back.
  if (shift % 2 !== 0) return false;
  for (let edge = shift; edge < times.length; edge++) {
    if (!near((times[edge] as number) - cycle, times[edge - shift] as number)) return false;
  }
  const missed = times[times.length - shift];
  return missed === undefined || missed > span - cycle - SAME_TIME;
}

/** How many of rising times are before a time. */
export function edgesBefore(times: Float64Array, time: number): number {
  let [low, high] = [0, times.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] as number) < time) low = middle + 1;
    else high = middle;
  }
  return low;
}

function leadingEdges({ times, initial }: LongWave, polarity: "positive" | "negative"): readonly number[] {
  const first = (initial === 0) === (polarity === "positive") ? 0 : 1;
  return Array.from(times).filter((_, edge) => edge % 2 === first);
}

function placeIn(lines: readonly number[], line: number, cycle: number, dots: number, time: number): FramePlace {
  const inside = ((time % cycle) + cycle) % cycle;
  let index = lines.length - 1;
  for (const [at, begins] of lines.entries()) {
    if (begins > inside + SAME_TIME) break;
    index = at;
  }
  const since = inside - (lines[index] as number);
  const passed = since < -SAME_TIME ? since + cycle : since;
  return { line: index, dot: Math.floor((passed / line) * dots + SAME_TIME) };
}
