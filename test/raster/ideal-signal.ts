import { type Picture, type Raster, type VideoNets, type Waveform, inHertz } from "../../src/raster/index.js";
import { dotsBeforePicture, fieldsPerFrame, linesBeforePicture, linesPerField } from "../../src/raster/index.js";

/** How a signal differs from the ideal one. */
export interface Imperfection {
  /** Factor on every time: 1.01 makes all rates 1 % slow. */
  readonly stretch?: number;
  /** Vertical syncs on record, less one; the frames to show. */
  readonly fields?: number;
  /** Vertical sync begins so many dots after horizontal sync. */
  readonly vSyncLagDots?: number;
  /** Video comes so many dots late. */
  readonly videoLagDots?: number;
  /** Video starts so many rows late. */
  readonly videoLagRows?: number;
  /** Time before the record's first line. */
  readonly startFs?: number;
}

/** What goes down a cable that has a net for each sync. */
export interface TwoSyncs {
  readonly hsync: Waveform;
  readonly vsync: Waveform;
  readonly video: VideoNets;
}

/** A waveform from the stretches in which it is at its active level. */
export function pulses(polarity: "positive" | "negative", stretches: readonly (readonly [number, number])[]): Waveform {
  const times: number[] = [];
  for (const [from, to] of stretches) {
    if (times.at(-1) === from) times.pop();
    else times.push(from);
    times.push(to);
  }
  return { initial: polarity === "positive" ? 0 : 1, timesFs: Float64Array.from(times, Math.round) };
}

/** Sync nets as the raster's numbers say, and video that shows a picture of one bit (all black without one). */
export function idealSignal(raster: Raster, picture?: Picture, imperfection: Imperfection = {}): TwoSyncs {
  const { stretch = 1, vSyncLagDots = 0, startFs = 12345 } = imperfection;
  const fields = imperfection.fields ?? 2 * fieldsPerFrame(raster);
  const dotFs = (1e15 / inHertz(raster.dotClock)) * stretch;
  const lineFs = dotFs * raster.h.total;
  const start = startFs + lineFs;
  const lines = Math.ceil(linesPerField(raster) * fields) + 3;

  const hPulses = Array.from({ length: lines }, (_, line) => {
    const at = start + line * lineFs;
    return [at, at + raster.h.sync * dotFs] as const;
  });
  const vPulses = Array.from({ length: fields + 1 }, (_, field) => {
    const at = start + (field * linesPerField(raster) + vSyncLagDots / raster.h.total) * lineFs;
    return [at, at + raster.v.sync * lineFs] as const;
  });
  return {
    hsync: pulses(raster.h.polarity, hPulses),
    vsync: pulses(raster.v.polarity, vPulses),
    video: { kind: "mono", net: videoOf(raster, picture, imperfection, start, lineFs, fields) },
  };
}

function videoOf(
  raster: Raster,
  picture: Picture | undefined,
  { videoLagDots = 0, videoLagRows = 0 }: Imperfection,
  start: number,
  lineFs: number,
  fields: number,
): Waveform {
  if (!picture) return { initial: 0, timesFs: new Float64Array() };
  const dotFs = lineFs / raster.h.total;
  const rowsPerLine = fieldsPerFrame(raster);
  const streaks: (readonly [number, number])[] = [];
  for (let field = 0; field < fields; field++) {
    for (let row = 0; row < raster.v.active; row++) {
      // The row that lies `down` lines below the start of its field; it belongs to a field when a line starts there.
      const down = linesBeforePicture(raster) + (row + videoLagRows) / rowsPerLine;
      const line = field * linesPerField(raster) + down;
      if (!Number.isInteger(line)) continue;
      const left = start + line * lineFs + (dotsBeforePicture(raster) + videoLagDots) * dotFs;
      for (const [from, to] of streaksOfRow(picture, row)) streaks.push([left + from * dotFs, left + to * dotFs]);
    }
  }
  return pulses("positive", streaks);
}

function streaksOfRow({ width, dots }: Picture, row: number): (readonly [number, number])[] {
  const streaks: (readonly [number, number])[] = [];
  for (let x = 0; x < width; x++) {
    if (dots[row * width + x] === 0) continue;
    const from = x;
    while (x < width && dots[row * width + x] !== 0) x++;
    streaks.push([from, x]);
  }
  return streaks;
}
