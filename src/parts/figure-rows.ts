import * as z from "zod";
import ac from "#data/parts/ac.json" with { type: "json" };
import act from "#data/parts/act.json" with { type: "json" };
import ahc from "#data/parts/ahc.json" with { type: "json" };
import ahct from "#data/parts/ahct.json" with { type: "json" };
import als from "#data/parts/als.json" with { type: "json" };
import f from "#data/parts/f.json" with { type: "json" };
import hc from "#data/parts/hc.json" with { type: "json" };
import hct from "#data/parts/hct.json" with { type: "json" };
import ls from "#data/parts/ls.json" with { type: "json" };
import lvc from "#data/parts/lvc.json" with { type: "json" };
import vhc from "#data/parts/vhc.json" with { type: "json" };
import vhct from "#data/parts/vhct.json" with { type: "json" };

const nanoseconds = z.number();

const source = z.strictObject({
  publisher: z.string(),
  document: z.string(),
  title: z.string().exactOptional(),
  url: z.string().exactOptional(),
});

/** Pins are names or groups of the behaviour, without the number of the section: `CLK`, `Q`, `OE#`. */
const delay = z.strictObject({
  from: z.array(z.string()),
  to: z.array(z.string()),
  changes: z.array(z.literal(["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"])),
  symbol: z.string(),
  /** The state of the chip for which the row is printed. */
  when: z.string().exactOptional(),
  /** Where it differs from the row's. */
  load: z.number().exactOptional(),
  min25: nanoseconds.exactOptional(),
  min70: nanoseconds.exactOptional(),
  min85: nanoseconds.exactOptional(),
  min125: nanoseconds.exactOptional(),
  typ25: nanoseconds.exactOptional(),
  max25: nanoseconds.exactOptional(),
  max70: nanoseconds.exactOptional(),
  max85: nanoseconds.exactOptional(),
  max125: nanoseconds.exactOptional(),
  fromMemory: z.boolean().default(false),
});

const requirement = z.strictObject({
  kind: z.literal(["set-up", "hold", "width high", "width low", "recovery"]),
  pins: z.array(z.string()),
  /** The clock, enable or strobe whose edge counts; absent on widths. */
  reference: z.array(z.string()).default([]),
  min25: nanoseconds.exactOptional(),
  min70: nanoseconds.exactOptional(),
  min85: nanoseconds.exactOptional(),
  min125: nanoseconds.exactOptional(),
  note: z.string().exactOptional(),
  fromMemory: z.boolean().default(false),
});

/** Guaranteed clock frequencies in MHz. */
const maxClock = z.strictObject({
  pins: z.array(z.string()),
  min25: z.number().exactOptional(),
  min70: z.number().exactOptional(),
  min85: z.number().exactOptional(),
  min125: z.number().exactOptional(),
});

const row = z.strictObject({
  function: z.string(),
  source: z.string(),
  table: z.string().exactOptional(),
  part: z.string().exactOptional(),
  /** The supply of the row, in volts, and the supplies for which its limits hold. */
  volts: z.number(),
  supply: z.tuple([z.number(), z.number()]),
  /** Load in pF; absent where the sheet does not say. */
  load: z.number().exactOptional(),
  fromMemory: z.boolean().default(false),
  confidence: z.string().exactOptional(),
  delays: z.array(delay),
  requirements: z.array(requirement),
  maxClock: maxClock.exactOptional(),
  /** Power dissipation capacitance and input capacitance, in pF. */
  cpd: z.number().exactOptional(),
  ciTyp: z.number().exactOptional(),
  ciMax: z.number().exactOptional(),
  note: z.string().exactOptional(),
});

const table = z.strictObject({
  family: z.string(),
  sources: z.record(z.string(), source),
  rows: z.array(row),
});

/** One table of one data sheet: one function at one supply and load. Times in ns. */
export type FigureRow = z.infer<typeof row>;
export type DelayRow = z.infer<typeof delay>;
export type RequirementRow = z.infer<typeof requirement>;
export type FamilyFigures = z.infer<typeof table>;

const tables: Readonly<Record<string, unknown>> = {
  HC: hc,
  HCT: hct,
  AC: ac,
  ACT: act,
  AHC: ahc,
  AHCT: ahct,
  VHC: vhc,
  VHCT: vhct,
  LVC: lvc,
  LS: ls,
  ALS: als,
  F: f,
};

/** The logic families with figures on record, as they stand in a part number. */
export const families: readonly string[] = Object.keys(tables);

const parsed = new Map<string, FamilyFigures>();

/** The rows of a family. Throws RangeError for a family that is not in `families`, ZodError when its file is malformed. */
export function familyFigures(family: string): FamilyFigures {
  const known = parsed.get(family);
  if (known) return known;
  if (!(family in tables)) throw new RangeError(`no figures on record for a family ${family}`);
  const figures = table.parse(tables[family]);
  parsed.set(family, figures);
  return figures;
}
