import * as z from "zod";
import cta861 from "#data/rasters/cta-861.json" with { type: "json" };
import cvt from "#data/rasters/cvt.json" with { type: "json" };
import dmt from "#data/rasters/dmt.json" with { type: "json" };
import established from "#data/rasters/established.json" with { type: "json" };
import gtf from "#data/rasters/gtf.json" with { type: "json" };
import modedb from "#data/rasters/modedb.json" with { type: "json" };
import vgaRegisters from "#data/rasters/vga-registers.json" with { type: "json" };
import { fromPeriodPs, hertz } from "./frequency.js";
import type { Raster } from "./raster.js";

const axisRow = z.strictObject({
  active: z.number(),
  frontPorch: z.number(),
  sync: z.number(),
  backPorch: z.number(),
  borderEachSide: z.number(),
  total: z.number(),
  polarity: z.literal(["+", "-"]).transform((sign) => (sign === "+" ? "positive" : "negative")),
});

const row = z.strictObject({
  id: z.string(),
  name: z.string(),
  dotClockHz: z.int().optional(),
  dotPeriodPs: z.int().optional(),
  h: axisRow,
  v: axisRow,
  interlace: z.boolean().default(false),
  publishedHz: z.number(),
  rowRepeat: z.int().default(1),
  dotRepeat: z.int().default(1),
  aspect: z.string().exactOptional(),
  reducedBlanking: z.int().exactOptional(),
  note: z.string().exactOptional(),
  source: z.string(),
});

const table = z.strictObject({
  family: z.string(),
  about: z.string(),
  source: z.string(),
  rasters: z.array(row),
});

/** A published raster, with the vertical rate that its source prints. */
export interface PublishedRaster extends Raster {
  /** Vertical syncs a second as printed. */
  readonly publishedHz: number;
}

/**
 * Every published raster. The tables stand in the order in which a short name such as `640x480@60` is looked up, so that
 * it means the VESA DMT raster when there is one.
 */
export const publishedRasters: readonly PublishedRaster[] = [
  dmt,
  cta861,
  established,
  vgaRegisters,
  modedb,
  cvt,
  gtf,
].flatMap(readTable);

function readTable(data: unknown): PublishedRaster[] {
  const { family, source, rasters } = table.parse(data);
  return rasters.map(({ dotClockHz, dotPeriodPs, ...rest }) => ({
    ...rest,
    family,
    dotClock: dotPeriodPs === undefined ? hertz(dotClockHz ?? Number.NaN) : fromPeriodPs(dotPeriodPs),
    source: `${source}: ${rest.source}`,
  }));
}
