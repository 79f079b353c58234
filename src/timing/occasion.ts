import type { CellId, Model } from "./model.js";
import { HIGH, LOW } from "./level-set.js";
import type { FedRegion } from "./step.js";

/** The size of a raster and where its picture lies, counted from the leading edges of the syncs. */
export interface FrameShape {
  readonly dots: number;
  readonly lines: number;
  readonly dotsBeforePicture: number;
  readonly linesBeforePicture: number;
}

/** When something happens. */
export interface Occasion {
  /** Oscillator periods from power-up. */
  readonly tick: number;
  /** Oscillator periods from where the cycle begins; what happens earlier is carried forward by one cycle. */
  readonly tickInCycle: number;
  /** `line 12, dot 345`: counted from the first line and dot of the picture where the raster is known, else from the syncs. */
  readonly text: string;
}

/** A change of a sync net. */
interface SyncChange {
  readonly tick: number;
  readonly rises: boolean;
}

/** Notes when the sync nets change while the circuit is explored, so that a tick can be told as a place in the frame. */
export class SyncWatch {
  readonly #horizontal: CellId | undefined;
  readonly #vertical: CellId | undefined;
  readonly #changes = new Map<CellId, SyncChange[]>();

  constructor(model: Model) {
    const { picture } = model.circuit;
    this.#horizontal = picture && model.nets[picture.hsync]?.wave;
    this.#vertical = picture && model.nets[picture.vsync]?.wave;
    for (const cell of [this.#horizontal, this.#vertical]) if (cell !== undefined) this.#changes.set(cell, []);
  }

  /** Takes what happened to the waves in a tick. */
  note(tick: number, fed: readonly FedRegion[]): void {
    for (const { what, cell, region } of fed) {
      if (what !== "open") continue;
      if (region.from === LOW && region.to === HIGH) this.#changes.get(cell)?.push({ tick, rises: true });
      else if (region.from === HIGH && region.to === LOW) this.#changes.get(cell)?.push({ tick, rises: false });
    }
  }

  /** The frame, where the syncs come regularly in the cycle; undefined where they do not. */
  frame(leadTicks: number, cycleTicks: number): SyncFrame | undefined {
    const starts = (cell: CellId | undefined) =>
      pulseStarts((cell !== undefined && this.#changes.get(cell)) || [], leadTicks, cycleTicks);
    const [horizontal, vertical] = [starts(this.#horizontal), starts(this.#vertical)];
    const lineTicks = spacing(horizontal, cycleTicks);
    const frameTicks = spacing(vertical, cycleTicks);
    const [firstLine, firstFrame] = [horizontal[0], vertical[0]];
    if (lineTicks === undefined || frameTicks === undefined) return undefined;
    if (firstLine === undefined || firstFrame === undefined || frameTicks % lineTicks !== 0) return undefined;
    // The vertical sync may come a little before or after the horizontal one that begins its line.
    const linesAway = Math.round((firstFrame - firstLine) / lineTicks);
    return { lineTicks, frameTicks, start: firstLine + linesAway * lineTicks };
  }
}

/** A frame in oscillator periods: `start` is the beginning of the line in which the vertical sync begins. */
export interface SyncFrame {
  readonly lineTicks: number;
  readonly frameTicks: number;
  readonly start: number;
}

/** Says when a tick is. `shape` is the raster's, if it is known and the syncs show a frame of that many lines. */
export function occasionAt(
  tick: number,
  { leadTicks, cycleTicks }: { readonly leadTicks: number; readonly cycleTicks: number },
  frame?: SyncFrame,
  shape?: FrameShape,
): Occasion {
  const tickInCycle = modulo(tick - leadTicks, cycleTicks);
  return { tick, tickInCycle, text: placeInFrame(tick, frame, shape) ?? `period ${tickInCycle} of ${cycleTicks}` };
}

function placeInFrame(tick: number, frame: SyncFrame | undefined, shape: FrameShape | undefined): string | undefined {
  if (!frame) return undefined;
  const { lineTicks, frameTicks, start } = frame;
  const since = modulo(tick - start, frameTicks);
  const line = Math.floor(since / lineTicks);
  const ticks = since % lineTicks;
  if (!shape || shape.lines !== frameTicks / lineTicks) return `line ${line} of sync, period ${ticks} of ${lineTicks}`;
  const dot = Math.floor((ticks * shape.dots) / lineTicks) - shape.dotsBeforePicture;
  const lineOfPicture = line - shape.linesBeforePicture - (dot < 0 ? 1 : 0);
  return `line ${modulo(lineOfPicture, shape.lines)}, dot ${modulo(dot, shape.dots)}`;
}

/** Ticks in the cycle at which the pulses begin: the level that lasts shorter is the pulse. */
function pulseStarts(changes: readonly SyncChange[], leadTicks: number, cycleTicks: number): readonly number[] {
  const inCycle = changes.filter(({ tick }) => tick >= leadTicks && tick < leadTicks + cycleTicks);
  let high = 0;
  inCycle.forEach(({ tick, rises }, index) => {
    const next = inCycle[(index + 1) % inCycle.length]?.tick ?? tick;
    if (rises) high += modulo(next - tick, cycleTicks);
  });
  const pulseIsHigh = 2 * high < cycleTicks;
  return inCycle.filter(({ rises }) => rises === pulseIsHigh).map(({ tick }) => tick);
}

/** The distance from each to the next, round the cycle, if it is always the same. */
function spacing(ticks: readonly number[], cycleTicks: number): number | undefined {
  if (ticks.length === 0) return undefined;
  const step = cycleTicks / ticks.length;
  const isRegular = ticks.every((tick, index) => tick - (ticks[0] ?? 0) === index * step);
  return isRegular ? step : undefined;
}

function modulo(value: number, by: number): number {
  return ((value % by) + by) % by;
}
