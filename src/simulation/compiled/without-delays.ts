import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
import { boardOscillators } from "../../circuit/index.js";
import { type Fs, longFs } from "../../quantity/index.js";
import {
  type MonitorSettings,
  type NoPicture,
  type Picture,
  type PictureDifference,
  type Raster,
  type Reduced,
  type Shown,
  comparePictures,
  drawTestCard,
  fieldRate,
  findRaster,
  inHertz,
  watch,
} from "../../raster/index.js";
import { fillMemories } from "../board.js";
import { type FrameOptions, blackAndWhite, filming, ownPicture, shapeOf } from "../frame.js";
import { type MemoryLayout, type NoLayout, layOut } from "../layout.js";
import { recordScreen, signalOf } from "../screen.js";
import type { ScriptOutcome } from "../script/follow.js";
import { compareCells } from "../script/landed.js";
import { ScriptRun } from "../script/run.js";
import { SHORT_RESET, planInputs } from "../stimulus.js";
import { layoutByPatterns } from "./layout-by-patterns.js";
import { Machine } from "./machine.js";
import { MachineScreen } from "./machine-screen.js";
import type { FoundDoubt } from "./stepper.js";

export type WithoutDelaysOptions = Pick<
  FrameOptions,
  "frames" | "memory" | "seed" | "busy" | "script" | "range" | "onFrame" | "onProgress"
>;

/** What the monitor shows of a circuit whose chips answer at once, and what that leaves open. */
export interface SeenWithoutDelays {
  readonly monitor: NoPicture | Shown;
  readonly raster?: Raster;
  readonly picture?: Picture;
  readonly repeats?: Reduced;
  readonly card?: Picture;
  readonly difference?: PictureDifference;
  readonly layout?: MemoryLayout | NoLayout;
  readonly script?: ScriptOutcome;
  /** Places where the outcome hangs on delays, since the reset was let go; what is stored there is unknown. */
  readonly doubts: readonly FoundDoubt[];
  readonly memories: readonly { readonly ref: string; readonly writes: number; readonly contents: Uint8Array }[];
  readonly shortened: readonly NetId[];
  /** Femtoseconds. */
  readonly unknownSyncFs: number;
  readonly unknownVideoFs: number;
  readonly simulated: Fs;
  /** Oscillator edges and changes of inputs; of them, those taken in rounds, and those with unknown levels. */
  readonly steps: number;
  readonly inRounds: number;
  readonly careful: number;
}

/** So many steps that have to be worked out thoroughly take some seconds. A circuit that needs more of them is not run. */
const MOST_THOROUGH = 5000;

/**
 * Powers a circuit up without delays, lets it run for some frames, and looks at the last one as a monitor would. Throws
 * RangeError when the circuit names no picture or has no oscillator, and when more bytes are given than a memory holds; TooMuchOpen where
 * its outcome hangs on delays at almost every edge.
 */
export function simulateWithoutDelays(circuit: Circuit, options: WithoutDelaysOptions = {}): SeenWithoutDelays {
  const { frames = 2, seed = 1, range, memory, busy = false, onFrame, onProgress } = options;
  const { picture } = circuit;
  if (!picture) throw new RangeError("the circuit does not say which nets are the picture");
  if (boardOscillators(circuit).length === 0) throw new RangeError("the circuit has no oscillator");
  const lookup = findRaster(circuit.raster);
  const raster = lookup.found ? lookup.raster : undefined;

  // 1. Power up, and let the reset go. Until then anything may happen.
  const chips = circuit.chips.filter(({ part }) => part.behaviour.memory);
  const given = memory ? new Map(chips.map((chip) => [chip, memory])) : new Map<Chip, Uint8Array>();
  const filled = fillMemories(circuit, given, seed);
  const inputs = planInputs(circuit, { activity: busy ? { seed } : "quiet", longestReset: SHORT_RESET });
  const machine = new Machine(circuit, {
    powerUp: { seed },
    inputs: inputs.first,
    contents: filled,
    mostThorough: MOST_THOROUGH,
  });
  for (const release of inputs.releases) machine.drive(release.net, release.time, release.value);
  machine.run(inputs.released);
  machine.forgetDoubts();

  // 2. Fill the memory.
  const { card, layout, contents } = memory
    ? { contents: filled }
    : testCard(circuit, machine, raster, filled, onProgress);
  for (const [chip, bytes] of contents) machine.load(chip, bytes);
  const writesBefore = new Map(chips.map((chip) => [chip, machine.writesTo(chip)]));

  // 3. Record what goes to the monitor, while a script or luck plays at the inputs.
  machine.outside.now = machine.now;
  if (busy) inputs.play(machine.outside);
  const script = options.script && new ScriptRun(machine.outside, options.script, longFs(machine.now));
  const pixel = raster ? raster.h.active / picture.width : 1;
  const settings: MonitorSettings = { ...(raster && { raster }), ...(range && { range }), pixel };
  const record = recordScreen(new MachineScreen(machine), picture, {
    ...(raster && { raster }),
    frames,
    from: longFs(machine.now),
    ...(onFrame && { onFrame: filming(picture, settings, onFrame) }),
    ...(onProgress && { onProgress: (done, total) => onProgress("simulate", done, total) }),
  });

  // 4. Look at it.
  const { signal, unknownSyncFs, unknownVideoFs } = signalOf(record, picture);
  const monitor = watch(signal, settings);
  const own = monitor.locked && raster ? ownPicture(monitor, raster, record, picture) : undefined;
  const isStill = !busy && !script;
  return {
    monitor,
    ...(raster && { raster }),
    ...own,
    ...(card && { card }),
    ...(card && own && isStill && { difference: comparePictures(card, blackAndWhite(own.picture)) }),
    ...(layout && { layout }),
    ...(script && { script: outcomeOf(script, machine, contents) }),
    doubts: machine.doubts,
    memories: chips.map((chip) => ({
      ref: chip.ref,
      writes: machine.writesTo(chip) - (writesBefore.get(chip) ?? 0),
      contents: machine.contentsOf(chip),
    })),
    shortened: inputs.shortened,
    unknownSyncFs,
    unknownVideoFs,
    simulated: longFs(record.until),
    steps: machine.steps + machine.edgesInRounds,
    inRounds: machine.edgesInRounds,
    careful: machine.carefulSteps,
  };
}

function testCard(
  circuit: Circuit,
  machine: Machine,
  raster: Raster | undefined,
  filled: ReadonlyMap<Chip, Uint8Array>,
  onProgress: WithoutDelaysOptions["onProgress"],
): {
  readonly contents: ReadonlyMap<Chip, Uint8Array>;
  readonly card?: Picture;
  readonly layout: MemoryLayout | NoLayout;
} {
  onProgress?.("find layout", 0, 1);
  // One field, so that what runs on its own is on its way.
  if (raster) machine.run(Math.round(machine.now + 1e15 / inHertz(fieldRate(raster))));
  const layout: MemoryLayout | NoLayout = raster
    ? layoutByPatterns(circuit, machine, raster)
    : { problem: `${circuit.raster} is no published raster.` };
  if ("problem" in layout || !raster) return { contents: filled, layout };
  const card = drawTestCard(layout.width, layout.height, shapeOf(layout, raster));
  return { contents: layOut(card, layout), card, layout };
}

function outcomeOf(run: ScriptRun, machine: Machine, before: ReadonlyMap<Chip, Uint8Array>): ScriptOutcome {
  const { bytes, meant, ended } = run;
  const memories = [...before].flatMap(([chip, contents]) => {
    const after = { contents: machine.contentsOf(chip), unknown: machine.unknownOf(chip) };
    return chip.part.behaviour.memory?.write ? [compareCells(chip.ref, contents, after, meant)] : [];
  });
  // Whether a script keeps the times that the file promises is a question of time.
  return { bytes, begun: meant.length, ...(ended !== undefined && { ended }), memories, broken: [] };
}
