import type { Fs } from "../quantity/index.js";
import { inHertz, linesPerField, type Shown } from "../raster/index.js";

/** One part of a line or of a frame, measured and as the standard has it. */
export interface Strip {
  readonly name: "sync" | "back porch" | "picture" | "front porch";
  /** Dots of the standard, or lines; measured. */
  readonly count: number;
  readonly standard: number;
  readonly time: Fs;
}

/** A line in dots, or a frame in lines, in the order in which it passes from the begin of its sync. */
export interface RasterAxis {
  readonly unit: "dots" | "lines";
  readonly strips: readonly Strip[];
  readonly total: number;
  readonly standardTotal: number;
  readonly time: Fs;
  /** How often a second, in hertz. */
  readonly rateHz: number;
  /** Level of the sync net during sync. */
  readonly sync: "high" | "low";
}

/** What a monitor measures of the circuit's raster. */
export interface RasterView {
  /** `VESA DMT 0x04 640x480@59.94`. */
  readonly standard: string;
  readonly source: string;
  readonly line: RasterAxis;
  readonly frame: RasterAxis;
  /** False when the picture was dark, so that its edges could not be seen: then the porches are the standard's. */
  readonly porchesSeen: boolean;
}

/** The raster as it was seen on the sync and video nets. */
export function rasterView({ lock, against: { raster }, porches }: Shown): RasterView {
  const dot = 1e15 / inHertz(raster.dotClock);
  const dots = (time: number) => time / dot;
  const line = axis(
    "dots",
    { total: dots(lock.h.period), sync: dots(lock.h.width), front: porches?.hFront.seen, back: porches?.hBack.seen },
    { ...raster.h, total: raster.h.total },
    { time: lock.h.period, rateHz: lock.lineRateHz, sync: lock.h.polarity },
  );
  const frame = axis(
    "lines",
    { total: lock.linesPerField, sync: lock.vSyncLines, front: porches?.vFront.seen, back: porches?.vBack.seen },
    { ...raster.v, total: linesPerField(raster) },
    { time: lock.v.period, rateHz: lock.fieldRateHz, sync: lock.v.polarity },
  );
  return {
    standard: raster.name,
    source: raster.source,
    line,
    frame,
    porchesSeen: porches !== undefined,
  };
}

interface Measured {
  readonly total: number;
  readonly sync: number;
  readonly front: number | undefined;
  readonly back: number | undefined;
}

interface Standard {
  readonly sync: number;
  readonly frontPorch: number;
  readonly backPorch: number;
  readonly borderEachSide: number;
  readonly total: number;
}

function axis(
  unit: RasterAxis["unit"],
  measured: Measured,
  standard: Standard,
  { time, rateHz, sync }: { time: Fs; rateHz: number; sync: "positive" | "negative" },
): RasterAxis {
  const front = standard.frontPorch + standard.borderEachSide;
  const back = standard.backPorch + standard.borderEachSide;
  const strip = (name: Strip["name"], count: number, standardCount: number): Strip => ({
    name,
    count,
    standard: standardCount,
    time: Math.round((count / measured.total) * time) as Fs,
  });
  const [seenFront, seenBack] = [measured.front ?? front, measured.back ?? back];
  return {
    unit,
    strips: [
      strip("sync", measured.sync, standard.sync),
      strip("back porch", seenBack, back),
      strip(
        "picture",
        measured.total - measured.sync - seenBack - seenFront,
        standard.total - standard.sync - back - front,
      ),
      strip("front porch", seenFront, front),
    ],
    total: measured.total,
    standardTotal: standard.total,
    time,
    rateHz,
    sync: sync === "positive" ? "high" : "low",
  };
}
