import * as z from "zod";
import television from "#data/television.json" with { type: "json" };
import type { CompositeSync } from "./composite.js";
import type { LitArea } from "./light.js";
import type { Lock } from "./lock.js";
import type { SeenPorches } from "./porches.js";
import { TOLERANCE } from "./recognise.js";
import { dotsBeforePicture, fieldsPerFrame } from "./raster.js";
import type { Scan } from "./scan.js";

const figure = z.strictObject({
  nominal: z.number(),
  min: z.number().exactOptional(),
  max: z.number().exactOptional(),
  percent: z.number().exactOptional(),
  note: z.string().exactOptional(),
  source: z.string(),
  nominalSource: z.string().exactOptional(),
});

const system = z.strictObject({
  id: z.string(),
  name: z.string(),
  standard: z.string(),
  lines: z.int(),
  fieldRateHz: z.number(),
  lineRateHz: figure,
  lineSync: figure,
  equalising: figure,
  broad: figure,
  serration: figure,
  equalisingBefore: figure,
  broadPulses: figure,
  equalisingAfter: figure,
  frontPorch: figure,
  syncToPicture: figure,
  linesBlanked: figure,
  note: z.string().exactOptional(),
});

const sources = z.record(z.string(), z.strictObject({ publisher: z.string(), document: z.string() }));

/** A published system of television: rates in hertz, times in microseconds. */
export type TelevisionSystem = z.output<typeof system>;

/** Every system of television on record, with where its figures were published. */
export const { systems: televisionSystems } = z
  .strictObject({ about: z.string(), sources, systems: z.array(system) })
  .parse(television);

/** One figure of a signal beside the published one. */
export interface TelevisionFigure {
  readonly name: string;
  readonly unit: "kHz" | "Hz" | "µs" | "lines" | "pulses";
  readonly measured: number;
  readonly nominal: number;
  /** What is allowed; open where nothing is published or where more does no harm. */
  readonly min?: number;
  readonly max?: number;
  /** By how much more than nominal. */
  readonly percent: number;
  readonly meets: boolean;
}

/** How a composite sync compares with the system of television that it is nearest to. */
export interface TelevisionComparison {
  readonly system: TelevisionSystem;
  /** Two fields half a line apart, as the standard has it; else whole lines, as many home computers did (common practice). */
  readonly interlaced: boolean;
  readonly figures: readonly TelevisionFigure[];
  /** All figures are inside what is allowed, and it is interlaced. */
  readonly meets: boolean;
}

/** A line rate further away, in per cent, is none of television's: sets hold some three per cent (common practice). */
const MOST_RATE_PERCENT = 4;
/** Without interlace a field may have so many lines more or less than half a frame. Home computers had 262, 263, 312 and 313. */
const MOST_LINES = 1;
const US_PER_FS = 1e-9;

/**
 * Compares a composite sync with television. What light says of porches and blanking can only be too short: dark edges of
 * the picture make them look longer. Undefined when neither line rate nor number of lines is near a system's.
 */
export function compareTelevision(
  measured: Lock,
  sync: CompositeSync,
  seen?: { readonly scan: Scan; readonly lit: LitArea; readonly porches: SeenPorches },
): TelevisionComparison | undefined {
  const [nearest] = televisionSystems
    .map((candidate) => ({
      candidate,
      rate: Math.abs(measured.lineRateHz / candidate.lineRateHz.nominal - 1) * 100,
      lines: Math.abs(measured.linesPerField - candidate.lines / 2),
    }))
    .filter(({ rate, lines }) => rate <= MOST_RATE_PERCENT && lines <= MOST_LINES)
    .sort((a, b) => a.rate - b.rate);
  if (!nearest) return undefined;
  const found = nearest.candidate;
  const us = (time: number) => time * US_PER_FS;
  const rates = { percent: TOLERANCE.ratePercent };
  const figures = [
    compare("line rate", "kHz", measured.lineRateHz / 1000, inKilohertz(found.lineRateHz.nominal, rates.percent)),
    compare("field rate", "Hz", measured.fieldRateHz, around(found.fieldRateHz, rates.percent)),
    compare("lines in a field", "lines", measured.linesPerField, { nominal: found.lines / 2 }),
    compare("line sync", "µs", us(sync.lineSync), found.lineSync),
    compare("equalising pulses before", "pulses", sync.equalisingBefore, found.equalisingBefore),
    ...(sync.equalising === undefined
      ? []
      : [compare("equalising pulse", "µs", us(sync.equalising), found.equalising)]),
    compare("broad pulses", "pulses", sync.broadPulses, found.broadPulses),
    ...(sync.vertical === "half lines" ? [compare("broad pulse", "µs", us(sync.broad), found.broad)] : []),
    ...(sync.serration === undefined ? [] : [compare("serration", "µs", us(sync.serration), found.serration)]),
    compare("equalising pulses after", "pulses", sync.equalisingAfter, found.equalisingAfter),
    ...(seen ? compareLight(found, measured, seen) : []),
  ];
  const interlaced = measured.interlace;
  return { system: found, interlaced, figures, meets: interlaced && figures.every((one) => one.meets) };
}

function compareLight(
  found: TelevisionSystem,
  measured: Lock,
  { scan, lit, porches }: { readonly scan: Scan; readonly lit: LitArea; readonly porches: SeenPorches },
): TelevisionFigure[] {
  const us = (dots: number) => dots * scan.dotFs * US_PER_FS;
  const least = ({ nominal, min = nominal }: { nominal: number; min?: number }) => ({ nominal, min });
  const litLines = (lit.bottom - lit.top) / fieldsPerFrame(scan.raster);
  const syncToLight = dotsBeforePicture(scan.raster) + lit.left;
  return [
    compare("front porch", "µs", us(porches.hFront.seen), least(found.frontPorch)),
    compare("time from sync to picture", "µs", us(syncToLight), least(found.syncToPicture)),
    compare("lines blanked in a field", "lines", measured.linesPerField - litLines, least(found.linesBlanked)),
  ];
}

interface Allowed {
  readonly nominal: number;
  readonly min?: number;
  readonly max?: number;
}

/** What is measured to a millionth of itself is not told from a limit that it lies on. */
const ROUNDING = 1e-6;

function compare(
  name: string,
  unit: TelevisionFigure["unit"],
  measured: number,
  { nominal, min, max }: Allowed,
): TelevisionFigure {
  const slack = ROUNDING * Math.abs(measured);
  const meets = (min === undefined || measured >= min - slack) && (max === undefined || measured <= max + slack);
  return {
    name,
    unit,
    measured,
    nominal,
    ...(min !== undefined && { min }),
    ...(max !== undefined && { max }),
    percent: (measured / nominal - 1) * 100,
    meets,
  };
}

function around(nominal: number, percent: number): Allowed {
  return { nominal, min: nominal * (1 - percent / 100), max: nominal * (1 + percent / 100) };
}

function inKilohertz(hertz: number, percent: number): Allowed {
  return around(hertz / 1000, percent);
}
