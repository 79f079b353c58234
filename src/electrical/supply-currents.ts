import * as z from "zod";
import file from "#data/electrical/supply-currents.json" with { type: "json" };
import {
  type Behaviour,
  type Part,
  behaviourOf,
  canSeries,
  families,
  familyFigures,
  memoriesNamed,
  sourceLine,
} from "../parts/index.js";
import { switchingUnits } from "./switching-units.js";

const source = z.strictObject({ publisher: z.string(), document: z.string() });
const columns = z.strictObject({ "25": z.number(), "85": z.number(), "125": z.number() });

const tables = z
  .strictObject({
    about: z.string(),
    quiescent: z.array(z.strictObject({ family: z.string(), microamps: columns, source, fromMemory: z.boolean() })),
    ttlInput: z.array(
      z.strictObject({ family: z.string(), milliamps: columns, at: z.string(), source, fromMemory: z.boolean() }),
    ),
    logic: z.array(
      z.strictObject({
        family: z.string(),
        function: z.string(),
        milliamps: z.number(),
        typical: z.number().exactOptional(),
        source,
        fromMemory: z.boolean(),
      }),
    ),
    memories: z.array(z.strictObject({ part: z.string(), milliamps: z.number(), source, fromMemory: z.boolean() })),
    oscillators: z.array(
      z.strictObject({
        series: z.string(),
        steps: z.array(z.strictObject({ upToMegahertz: z.number(), milliamps: z.number() })),
        source,
        fromMemory: z.boolean(),
      }),
    ),
  })
  .parse(file);

/** A figure of a sheet in the SI unit, with where it was read. */
export interface SheetFigure {
  readonly value: number;
  readonly source: string;
  readonly fromMemory: boolean;
}

interface Read {
  readonly source: z.infer<typeof source>;
  readonly fromMemory: boolean;
}

/**
 * What a part draws at most in amperes: CMOS logic with nothing switching, other parts at work, outputs unloaded. Undefined
 * where no sheet on record says.
 */
export function ownSupplyCurrent(part: Part, hottestCelsius: number): SheetFigure | undefined {
  const { behaviour } = part;
  if (part.oscillation) return canCurrent(part);
  if (behaviour.memory) return memoryCurrent(part);
  const family = part.levelsAs ?? part.family;
  const quiescent = tables.quiescent.find((row) => row.family === family);
  if (quiescent) return figure(column(quiescent.microamps, hottestCelsius) * 1e-6, quiescent);
  const row = tables.logic.find((one) => one.family === family && one.function === behaviour.function);
  return row && figure(row.milliamps * 1e-3, row);
}

/** What one input adds in amperes while it stands at a TTL high level; undefined for inputs that have no such figure. */
export function ttlInputCurrent({ family, levelsAs }: Part, hottestCelsius: number): SheetFigure | undefined {
  const row = tables.ttlInput.find((one) => one.family === (levelsAs ?? family));
  return row && figure(column(row.milliamps, hottestCelsius) * 1e-3, row);
}

/** Power dissipation capacitance in farads. */
export interface Dissipating extends SheetFigure {
  /** Of the whole chip, and not of each of its units. */
  readonly ofChip: boolean;
  /** No sheet gives it: the largest of chips of the same kind and output stage stands in. */
  readonly isStandIn: boolean;
}

/** Undefined for parts that are not CMOS logic, and where nothing can stand in. Read before recalled; then the largest counts. */
export function dissipationCapacitance(part: Part): Dissipating | undefined {
  const family = part.levelsAs ?? part.family;
  if (!tables.quiescent.some((row) => row.family === family) || !families.includes(family)) return undefined;
  const own = capacitancesOf(family).filter((row) => row.function === part.behaviour.function);
  const read = own.filter(({ fromMemory }) => !fromMemory);
  const [best] = largestFirst(read.length > 0 ? read : own);
  if (best) return { ...figure(best.cpd * 1e-12, best), ofChip: best.ofChip, isStandIn: false };
  const [largest] = largestFirst(alike(part, family));
  return largest && { ...figure(largest.cpd * 1e-12, largest), ofChip: false, isStandIn: true };
}

/** The same output stage with the other inputs. */
const siblings: Readonly<Record<string, string>> = {
  HC: "HCT",
  HCT: "HC",
  AC: "ACT",
  ACT: "AC",
  AHC: "AHCT",
  AHCT: "AHC",
  VHC: "VHCT",
  VHCT: "VHC",
};

/**
 * Chips of a family and its sibling that store where the part does, and that are one unit or several as it is; where there
 * are none, any of the family.
 */
function alike({ behaviour }: Part, family: string) {
  const kindOf = (of: Behaviour) => `${of.storage.length > 0} ${switchingUnits(of).length === 1}`;
  const found = [family, siblings[family] ?? family].flatMap(capacitancesOf).filter((row) => {
    const other = behaviourOf(row.function);
    return other && !row.ofChip && kindOf(other) === kindOf(behaviour);
  });
  return found.length > 0 ? found : capacitancesOf(family);
}

function capacitancesOf(family: string) {
  const { rows, sources } = familyFigures(family);
  return rows.flatMap((row) => {
    const { cpd, source: key } = row;
    const { publisher, document } = sources[key] ?? { publisher: "unknown", document: key };
    const ofChip = /Cpd per package/i.test(row.note ?? "");
    return cpd === undefined ? [] : [{ ...row, cpd, ofChip, source: { publisher, document } }];
  });
}

function largestFirst<R extends { readonly cpd: number }>(rows: readonly R[]): readonly R[] {
  return [...rows].sort((a, b) => b.cpd - a.cpd);
}

function memoryCurrent({ number }: Part): SheetFigure | undefined {
  const named = new Set(memoriesNamed(number).map(({ part }) => part));
  const [worst] = tables.memories.filter(({ part }) => named.has(part)).sort((a, b) => b.milliamps - a.milliamps);
  return worst && figure(worst.milliamps * 1e-3, worst);
}

function canCurrent({ oscillation }: Part): SheetFigure | undefined {
  const name = canSeries.find((series) => series.source.document === oscillation?.source.document)?.name;
  const row = tables.oscillators.find(({ series }) => series === name);
  if (!row || !oscillation) return undefined;
  const { numerator, denominator } = oscillation.hertz;
  const megahertz = Number(numerator) / Number(denominator) / 1e6;
  const step = row.steps.find(({ upToMegahertz }) => megahertz <= upToMegahertz);
  return step && figure(step.milliamps * 1e-3, row);
}

function column(cells: z.infer<typeof columns>, celsius: number): number {
  return celsius <= 25 ? cells["25"] : celsius <= 85 ? cells["85"] : cells["125"];
}

function figure(value: number, { source: { publisher, document }, fromMemory }: Read): SheetFigure {
  return { value, source: sourceLine({ publisher, document, fromMemory }), fromMemory };
}
