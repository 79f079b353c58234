import type { Chip, Circuit, NetId, PictureNets } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import {
  type Displacement,
  type MonitorRange,
  type MonitorSettings,
  type NoPicture,
  type Picture,
  type PictureDifference,
  type Raster,
  type Reduced,
  type Shown,
  MONO,
  blackPicture,
  comparePictures,
  countFrames,
  dotShape,
  drawTestCard,
  fieldRate,
  fieldsPerFrame,
  findRaster,
  inHertz,
  lineTimes,
  reduce,
  scanFrame,
  watch,
} from "../raster/index.js";
import { type BoardOptions, powerUpBoard } from "./board.js";
import type { StandIn } from "./choice.js";
import type { Contentions } from "./contention.js";
import { type PictureSize, forEachDot, repeatsOf } from "./dots.js";
import { type MemoryLayout, type NoLayout, findLayout, layOut } from "./layout.js";
import type { MemoryState } from "./memory-state.js";
import type { ScriptOutcome } from "./script/follow.js";
import { netsOf } from "./random-board.js";
import { type BoardWaves, wavesAround } from "./replay-board.js";
import { type ScreenRecord, recordScreen, signalOf } from "./screen.js";
import type { Simulator } from "./simulator.js";
import { HIGH } from "./value.js";
import type { Violation } from "./watch.js";

export interface FrameOptions extends Omit<BoardOptions, "marks"> {
  /** Whole frames to record; the last one is shown. 2 when absent. */
  readonly frames?: number;
  /** Contents of every memory, or of these, from address 0; without them and `contents` the test card. */
  readonly memory?: Uint8Array | ReadonlyMap<Chip, Uint8Array>;
  /** Rates that the monitor follows; any when absent. */
  readonly range?: MonitorRange;
  /** Handed what the monitor shows of each frame, from frame 0 on, as soon as it is over. */
  readonly onFrame?: (seen: NoPicture | Shown, frame: number) => void;
  /** Called with the simulator before it runs, to record more. */
  readonly prepare?: (simulator: Simulator) => void;
  readonly onProgress?: (stage: "find layout" | "simulate", done: number, total: number) => void;
}

/** What the monitor shows, and what else came up. */
export interface FrameResult {
  readonly monitor: NoPicture | Shown;
  /** The raster that the circuit is meant to meet; absent where its name is not known. */
  readonly raster?: Raster;
  /** The circuit's own dots, each looked at in its middle. Absent without a lock, or where repeats do not come out whole. */
  readonly picture?: Picture;
  /** Dots whose repeats on the raster differ: smeared or torn. */
  readonly repeats?: Reduced;
  /** The card that the memory was loaded with; absent where contents were given or no layout was found. */
  readonly card?: Picture;
  /** How the picture differs from the card: white where any video net is high. Absent where one of them is, and if inputs act. */
  readonly difference?: PictureDifference;
  /** Where the dots lie in memory, or why that is not known; absent where contents were given. */
  readonly layout?: MemoryLayout | NoLayout;
  readonly standIns: readonly StandIn[];
  /** What chips asked of their inputs in vain, where it was watched; and what could not be watched for want of a figure. */
  readonly violations?: readonly Violation[];
  readonly notWatched?: readonly string[];
  /** The nets around the worst moment of what fell shortest. */
  readonly around?: { readonly violation: Violation; readonly waves: BoardWaves };
  /** What came of the script. */
  readonly script?: ScriptOutcome;
  /** Since the reset was let go, as are the memories' counts. */
  readonly contentions: Contentions;
  readonly memories: readonly MemoryState[];
  /** Inputs that were released from their power-up level earlier than declared, to save time. */
  readonly shortened: readonly NetId[];
  /** Time in which syncs and video were unknown or undriven while on record, in femtoseconds. */
  readonly unknownSyncFs: number;
  readonly unknownVideoFs: number;
  /** Circuit time that was simulated, and events: changes at output and input pins. */
  readonly simulated: Fs;
  readonly events: number;
}

/**
 * Powers a circuit up, lets it run for some frames, and looks at the last one as a monitor would: from sync and video nets
 * alone. Throws RangeError when the circuit names no picture, and when more bytes are given than a memory holds, and
 * for more frames than nine seconds hold.
 */
export function simulateFrame(circuit: Circuit, options: FrameOptions = {}): FrameResult {
  const { frames = 2, range, prepare, onFrame, onProgress } = options;
  const { picture } = circuit;
  if (!picture) throw new RangeError("the circuit does not say which nets are the picture");
  const lookup = findRaster(circuit.raster);
  const raster = lookup.found ? lookup.raster : undefined;
  const most = mostFramesWithDelays(circuit);
  if (frames > most) throw new RangeError(`with delays at most ${most} frames can be simulated`);

  // 1. Fill the memory.
  const { contents, card, layout } = fillMemory(circuit, raster, options);

  // 2. Power up, and record what goes to the monitor.
  const { simulator, watch: watching, script, released, shortened } = powerUpBoard(circuit, { ...options, contents });
  prepare?.(simulator);
  const pixel = raster ? raster.h.active / picture.width : 1;
  const settings: MonitorSettings = { ...(raster && { raster }), ...(range && { range }), pixel };
  const record = recordScreen(simulator, picture, {
    ...(raster && { raster }),
    frames,
    from: released,
    ...(onFrame && { onFrame: filming(picture, settings, onFrame) }),
    ...(onProgress && { onProgress: (done, total) => onProgress("simulate", done, total) }),
  });

  // 3. Look at it.
  const { signal, unknownSyncFs, unknownVideoFs } = signalOf(record, picture);
  const monitor = watch(signal, settings);
  const own = monitor.locked && raster ? ownPicture(monitor, raster, record, picture) : undefined;
  return {
    monitor,
    ...(raster && { raster }),
    ...own,
    ...(card && { card }),
    ...(card &&
      own &&
      !options.busy &&
      !options.script && { difference: comparePictures(card, blackAndWhite(own.picture)) }),
    ...(layout && { layout }),
    standIns: simulator.standIns,
    ...(watching && { violations: watching.violations, notWatched: watching.missing }),
    ...(watching && nearWorst(circuit, { ...options, contents }, watching.violations)),
    ...(script && { script: script.outcome }),
    contentions: simulator.contentions,
    memories: simulator.memories,
    shortened,
    unknownSyncFs,
    unknownVideoFs,
    simulated: record.until,
    events: simulator.outputChanges + simulator.arrivals,
  };
}

/**
 * Frames of a circuit's raster that can be simulated with delays: these are counted in single femtoseconds, which a double
 * holds for nine seconds of circuit time.
 */
export function mostFramesWithDelays({ raster: name }: Circuit): number {
  const lookup = findRaster(name);
  if (!lookup.found) return Infinity;
  const seconds = fieldsPerFrame(lookup.raster) / inHertz(fieldRate(lookup.raster));
  // The record begins after the reset and ends after the last vertical sync.
  return Math.floor(Number.MAX_SAFE_INTEGER / (1e15 * seconds)) - 2;
}

/** Runs the board again up to the worst moment. */
function nearWorst(
  circuit: Circuit,
  board: BoardOptions,
  violations: readonly Violation[],
): Pick<FrameResult, "around"> {
  const short = ({ actual, required }: Violation) => required.time - actual;
  const [violation] = violations.filter(({ asynchronous }) => !asynchronous).sort((a, b) => short(b) - short(a));
  if (!violation) return {};
  const at = fs(Math.round(violation.worstAt));
  return { around: { violation, waves: wavesAround(circuit, { ...board, watch: false }, netsOf(violation), at) } };
}

/** Looks at one frame after the other on a screen that moves the picture into its place once, when it first sees it. */
export function filming(
  picture: PictureNets,
  settings: MonitorSettings,
  onFrame: (seen: NoPicture | Shown, frame: number) => void,
): (record: ScreenRecord) => void {
  let displacement: Displacement | undefined;
  let frame = 0;
  return (record) => {
    const seen = watch(signalOf(record, picture).signal, { ...settings, ...(displacement && { displacement }) });
    if (seen.locked && seen.lit) displacement ??= seen.displacement;
    onFrame(seen, frame++);
  };
}

function fillMemory(
  circuit: Circuit,
  raster: Raster | undefined,
  { contents, memory, resume, onProgress }: FrameOptions,
) {
  if (resume) return { contents: new Map<Chip, Uint8Array>() };
  const chips = circuit.chips.filter(({ part }) => part.behaviour.memory);
  const all = (bytes: Uint8Array): ReadonlyMap<Chip, Uint8Array> => new Map(chips.map((chip) => [chip, bytes]));
  if (contents) return { contents };
  if (memory) return { contents: memory instanceof Uint8Array ? all(memory) : memory };
  const layout: MemoryLayout | NoLayout = raster
    ? findLayout(circuit, raster, onProgress && ((done, total) => onProgress("find layout", done, total)))
    : { problem: `${circuit.raster} is no published raster.` };
  if ("problem" in layout) return { contents: new Map<Chip, Uint8Array>(), layout };
  const card = drawTestCard(layout.width, layout.height, raster ? shapeOf(layout, raster) : 1);
  return { contents: layOut(card, layout), card, layout };
}

/** Width over height of one of the circuit's dots on a screen of 4 by 3. */
export function shapeOf({ width, height }: Pick<MemoryLayout, "width" | "height">, raster: Raster): number {
  const perRasterDot = dotShape(raster.dotClock, lineTimes(raster).active, raster.v.active, { width: 4, height: 3 });
  return (perRasterDot * (raster.h.active / width)) / (raster.v.active / height);
}

/** The circuit's own dots of the last frame on record, and how its repeats on the raster differ. */
export function ownPicture(monitor: Shown, raster: Raster, record: ScreenRecord, size: PictureSize) {
  const repeats = repeatsOf({ raster }, size);
  if (!repeats) return undefined;
  const picture = blackPicture(size.width, size.height, monitor.picture.depth);
  const scan = scanFrame(monitor.lock, raster, countFrames(monitor.lock, raster) - 1);
  forEachDot(scan, monitor.displacement, size, (x, y, time) => {
    let value = 0;
    for (const tape of record.video) value = 2 * value + (tape.valueAt(time) === HIGH ? 1 : 0);
    picture.dots[y * size.width + x] = value;
  });
  return { picture, repeats: reduce(monitor.picture, repeats.across, repeats.down) };
}

/** White wherever a dot is not black. */
export function blackAndWhite(picture: Picture): Picture {
  return { ...picture, depth: MONO, dots: picture.dots.map((dot) => (dot === 0 ? 0 : 1)) };
}
