import * as z from "zod";
import logic from "#data/levels/logic.json" with { type: "json" };
import memories from "#data/levels/memories.json" with { type: "json" };
import oscillators from "#data/levels/oscillators.json" with { type: "json" };
import others from "#data/levels/others.json" with { type: "json" };

/** A limit by the column of the sheet; `any` stands for all of them. */
const columns = z.strictObject({
  any: z.number().exactOptional(),
  "25": z.number().exactOptional(),
  "70": z.number().exactOptional(),
  "85": z.number().exactOptional(),
  "125": z.number().exactOptional(),
});

const source = z.strictObject({ publisher: z.string(), document: z.string(), table: z.string() });
const pair = z.tuple([z.number(), z.number()]);
const points = z.array(pair);

/** Which pins of which functions a record is about; the first that fits counts. */
const about = { functions: z.array(z.string()).exactOptional(), pins: z.array(z.string()).exactOptional() };

/** A level at an output current, either at a supply or so much (or such a share) below any supply. */
const level = z.strictObject({
  volts: z.number().exactOptional(),
  mA: z.number(),
  ...columns.shape,
  below: columns.exactOptional(),
  belowShare: z.number().exactOptional(),
});

const capacitance = z.strictObject({ max: z.number().exactOptional(), typical: z.number().exactOptional() });

const transition = z.strictObject({
  volts: z.number(),
  pF: z.number(),
  ns: columns,
  /** The share of the swing that the time is for: 0.8 from 10 to 90 %. */
  share: z.number().default(0.8),
  nsPerPf: z.number().exactOptional(),
  source: z.string().exactOptional(),
  slopeSource: z.string().exactOptional(),
});

const input = z.strictObject({
  ...about,
  vih: points,
  vil: points,
  schmitt: z.boolean().default(false),
  source: z.string(),
  fromMemory: z.boolean().default(false),
});

const output = z.strictObject({
  ...about,
  kind: z.string(),
  voh: z.array(level),
  vol: z.array(level),
  transition: transition.exactOptional(),
  source: z.string(),
  fromMemory: z.boolean().default(false),
  volFromMemory: z.boolean().default(false),
});

const current = z.strictObject({
  ...about,
  high: columns,
  low: columns,
  source: z.string(),
  fromMemory: z.boolean().default(false),
});

const family = z.strictObject({
  family: z.string(),
  /** Present where the record is of these functions only, which the family makes otherwise; it comes before the family's. */
  functions: z.array(z.string()).exactOptional(),
  technology: z.literal(["CMOS", "bipolar"]),
  ambient: pair,
  supply: pair,
  inputs: z.array(input),
  inputCurrents: z.array(current),
  inputPf: z.strictObject({ ...capacitance.shape, source: z.string(), fromMemory: z.boolean().default(false) }),
  inputsUpTo: z.union([z.literal("supply"), z.number()]),
  inputEdge: z
    .strictObject({ nsPerEdge: points.exactOptional(), nsPerVolt: points.exactOptional(), source: z.string() })
    .exactOptional(),
  outputs: z.array(output),
  off: z.strictObject({
    mA: columns,
    pF: capacitance,
    pFFromMemory: z.boolean().default(false),
    source: z.string(),
    pFSource: z.string(),
  }),
  /** Pins that draw another current than `off` while they are switched off. */
  offPins: z.array(current).default([]),
  fromMemory: z.boolean().default(false),
  /** By what the slopes of delays, printed at 25 °C, grow to a column. */
  slopeFactor: columns.exactOptional(),
  /** How delays grow with load, in ns per pF at 25 °C, where more is known than the family's slope. */
  loadSlopes: z.array(z.strictObject({ ...about, rise: z.number(), fall: z.number(), source: z.string() })).default([]),
});

const memory = z.strictObject({
  name: z.string(),
  series: z.array(z.string()),
  technology: z.literal(["CMOS", "NMOS"]).default("CMOS"),
  source: z.string(),
  fromMemory: z.boolean(),
  note: z.string().exactOptional(),
  supply: pair,
  vih: z.number(),
  vil: z.number(),
  voh: z.array(level),
  vol: z.array(level),
  inputMilliamps: z.number(),
  offMilliamps: z.number(),
  inputPf: z.number(),
  offPf: z.number(),
  nsPerPf: z.number(),
});

const can = z.strictObject({
  name: z.string(),
  fromMemory: z.boolean(),
  voh: z.array(level),
  vol: z.array(level),
  mostPf: z.array(z.strictObject({ upTo: z.number(), pF: z.number() })),
  mostTtl: z.array(z.strictObject({ upTo: z.number(), inputs: z.number() })),
  transition: transition.exactOptional(),
  source,
});

const threshold = {
  vih: z.number().exactOptional(),
  vil: z.number().exactOptional(),
  vihShare: z.number().exactOptional(),
  vilShare: z.number().exactOptional(),
  vihBelow: z.number().exactOptional(),
};

const other = z.strictObject({
  name: z.string(),
  technology: z.literal(["CMOS", "NMOS", "bipolar"]),
  supply: pair,
  ...threshold,
  pins: z.array(z.strictObject({ pins: z.array(z.string()), ...threshold })).default([]),
  voh: z.array(level),
  vol: z.array(level),
  inputMilliamps: z.number().exactOptional(),
  offMilliamps: z.number().exactOptional(),
  inputPf: z.number().exactOptional(),
  offPf: z.number().exactOptional(),
  source: z.string(),
  fromMemory: z.boolean().default(true),
});

const sources = z.record(z.string(), source);

/** Volts, mA, pF and ns as sheets print them. */
export type LevelColumns = z.infer<typeof columns>;
export type LevelRow = z.infer<typeof level>;
export type FamilyLevels = z.infer<typeof family>;
export type MemoryLevels = z.infer<typeof memory>;
export type CanLevels = z.infer<typeof can>;
export type OtherLevels = z.infer<typeof other>;
export type TransitionRow = z.infer<typeof transition>;
export type LevelSources = z.infer<typeof sources>;

const about1 = { about: z.string() };
const logicTable = z.strictObject({ ...about1, sources, families: z.array(family) }).parse(logic);
const memoryTable = z.strictObject({ ...about1, sources, classes: z.array(memory) }).parse(memories);
const otherTable = z.strictObject({ ...about1, sources, classes: z.array(other) }).parse(others);

export const logicLevels: readonly FamilyLevels[] = logicTable.families;
export const logicSources: LevelSources = logicTable.sources;
export const memoryLevels: readonly MemoryLevels[] = memoryTable.classes;
export const memorySources: LevelSources = memoryTable.sources;
export const canLevels: readonly CanLevels[] = z
  .strictObject({ ...about1, series: z.array(can) })
  .parse(oscillators).series;
export const otherLevels: readonly OtherLevels[] = otherTable.classes;
export const otherSources: LevelSources = otherTable.sources;
