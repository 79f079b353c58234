import type { Chip, Circuit, NetId } from "../../circuit/circuit.js";
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
  fieldRate,
  fieldsPerFrame,
  inHertz,
  watch,
} from "../../raster/index.js";
import { type FrameOptions, blackAndWhite, ownPicture } from "../frame.js";
import type { MemoryLayout, NoLayout } from "../layout.js";
import { signalOf } from "../screen.js";
import type { ScriptOutcome } from "../script/follow.js";
import { compareCells } from "../script/landed.js";
import { ScriptRun } from "../script/run.js";
import { BeamScreen } from "./beam-screen.js";
import type { Machine } from "./machine.js";
import type { MachineState } from "./machine-state.js";
import { type CardInMemory, type PoweredMachine, powerUpMachine, testCardFor } from "./power-up-machine.js";
import type { FoundDoubt } from "./stepper.js";

export interface WithoutDelaysOptions extends Pick<
  FrameOptions,
  "frames" | "memory" | "seed" | "busy" | "script" | "range" | "onFrame" | "onProgress"
> {
  /** Goes on from here, in place of powering up: a state of the same circuit. */
  readonly resume?: MachineState;
}

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
  /** To go on from; absent while somebody outside waits to act, such as a script that is not done. */
  readonly state?: MachineState;
}

/** So many steps that have to be worked out thoroughly take some seconds. A circuit that needs more of them is not run. */
const MOST_THOROUGH = 5000;

/** Of a run that nobody sees frame by frame the monitor watches the last ones. */
const FRAMES_WATCHED = 2;

/**
 * Powers a circuit up without delays, lets it run for some frames, and looks at the last one as a monitor would. Throws
 * RangeError when the circuit names no picture or has no oscillator, and when more bytes are given than a memory holds; TooMuchOpen where
 * its outcome hangs on delays at almost every edge.
 */
export function simulateWithoutDelays(circuit: Circuit, options: WithoutDelaysOptions = {}): SeenWithoutDelays {
  const { frames = 2, seed = 1, range, memory, busy = false, onFrame, onProgress } = options;
  const { picture } = circuit;
  if (!picture) throw new RangeError("the circuit does not say which nets are the picture");

  // 1. Power up, and fill the memory.
  const powered = powerUpMachine(circuit, { seed, busy, mostThorough: MOST_THOROUGH, ...(memory && { memory }) });
  const { machine, raster, inputs } = powered;
  onProgress?.("find layout", 0, 1);
  const { card, layout, contents } = begin(powered, memory !== undefined, options.resume);
  const chips = [...contents.keys()];
  const writesBefore = new Map(chips.map((chip) => [chip, machine.writesTo(chip)]));
  machine.outside.now = machine.now;

  // 2. Let a script or luck play at the inputs, and a monitor watch.
  if (busy) inputs.play(machine.outside);
  const script = options.script && new ScriptRun(machine.outside, options.script, longFs(machine.now));
  const settings: MonitorSettings = {
    ...(raster && { raster }),
    ...(range && { range }),
    pixel: raster ? raster.h.active / picture.width : 1,
  };
  const screen = new BeamScreen(machine, picture, settings);
  const watched = onFrame ? frames : Math.min(frames, FRAMES_WATCHED);
  const fieldTime = raster ? (fieldsPerFrame(raster) * 1e15) / inHertz(fieldRate(raster)) : 0;
  for (let frame = 0; frame < frames - watched; frame++) {
    machine.run(longFs(machine.now + fieldTime));
    onProgress?.("simulate", frame, frames);
  }
  for (let frame = 0; frame < watched; frame++) {
    const seen = screen.runFrame();
    onFrame?.(seen, frame);
    onProgress?.("simulate", frames - watched + frame, frames);
  }

  // 3. Look at the last frame.
  const { record } = screen;
  const monitor = watch(signalOf(record, picture).signal, settings);
  const { sync: unknownSyncFs, video: unknownVideoFs } = screen.unknownFs;
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
    ...(!machine.outside.isWaiting && (!script || script.ended !== undefined) && { state: machine.save() }),
  };
}

/** What the memories hold as the frames begin: as saved, as given, or a test card. */
function begin(powered: PoweredMachine, isGiven: boolean, resume: MachineState | undefined): BegunContents {
  const { machine } = powered;
  if (resume) {
    machine.restore(resume);
    return { contents: new Map([...powered.contents.keys()].map((chip) => [chip, machine.contentsOf(chip)])) };
  }
  const begun: BegunContents = isGiven ? powered : testCardFor(powered);
  for (const [chip, bytes] of begun.contents) machine.load(chip, bytes);
  return begun;
}

type BegunContents = Partial<CardInMemory> & Pick<CardInMemory, "contents">;

function outcomeOf(run: ScriptRun, machine: Machine, before: ReadonlyMap<Chip, Uint8Array>): ScriptOutcome {
  const { bytes, meant, ended } = run;
  const memories = [...before].flatMap(([chip, contents]) => {
    const after = { contents: machine.contentsOf(chip), unknown: machine.unknownOf(chip) };
    return chip.part.behaviour.memory?.write ? [compareCells(chip.ref, contents, after, meant)] : [];
  });
  // Whether a script keeps the times that the file promises is a question of time.
  return { bytes, begun: meant.length, ...(ended !== undefined && { ended }), memories, broken: [] };
}
