import type { Behaviour } from "./behaviour.js";
import { behaviourOf } from "./behaviours/index.js";
import type { Conditions } from "./conditions.js";
import { families, familyFigures } from "./figure-rows.js";
import { logicInDip } from "./in-dip.js";
import { logicFigures } from "./logic-figures.js";
import { memoryFigures, noFigures } from "./memory-figures.js";
import { genericMemories, memoriesNamed, memoryNumbers } from "./memory-numbers.js";
import type { MemoryRow } from "./memory-rows.js";
import { nearestNames } from "./nearest-names.js";
import {
  DEFAULT_SERIES,
  DEFAULT_STABILITY_PPM,
  canSeries,
  oscillationOf,
  stockFrequencies,
} from "./oscillator-cans.js";
import { packageOf, packagesOf } from "./package.js";
import type { Package, Part } from "./part.js";
import {
  type LogicNumber,
  type OscillatorNumber,
  parseLogicNumber,
  parseOscillatorNumber,
  plainNumber,
} from "./part-number.js";
import { processorPart } from "./processor-part.js";
import { processorNumbers } from "./processors.js";
import { makersOf } from "./usable-rows.js";

/** Why a part number names no part, and what may have been meant. */
export interface PartProblem {
  readonly problem: string;
  /** Nearest part numbers of the catalogue; empty where nothing comes close. */
  readonly suggestions: readonly string[];
  /** What to do instead, where no other number is meant. */
  readonly expected?: string;
}

export function isPartProblem(part: Part | PartProblem): part is PartProblem {
  return "problem" in part;
}

/**
 * The part of a number as a circuit file writes it, with the figures that hold under the circuit's conditions:
 * `74HC163` (a maker's letters before and package letters behind are passed over), `HM62256B-7`, `CY7C199-15`, `62256-70`
 * (any maker's 32K by 8 static RAM of 70 ns), `OSC-25.175MHz`, `OSC-25.175MHz-50ppm`, `K1100AM-25.175MHz`, `W65C02S`,
 * `Z84C0008`.
 */
export function findPart(number: string, conditions: Conditions): Part | PartProblem {
  const oscillator = parseOscillatorNumber(number);
  if (oscillator) return oscillatorPart(number, oscillator);
  const logic = parseLogicNumber(number);
  if (logic) return logicPart(number, logic, conditions);
  const rows = memoriesNamed(number);
  if (rows.length > 0) return memoryPart(number, rows, conditions);
  return processorPart(number) ?? unknown(number, `no part ${number} in the catalogue`);
}

/** Every part number of the catalogue, without makers' letters: logic, memories, processors, oscillators at stock frequencies. */
export function listPartNumbers(): readonly string[] {
  return [
    ...families.flatMap((family) => functionsOf(family).map((fn) => `74${family}${fn}`)),
    ...genericMemories,
    ...memoryNumbers,
    ...processorNumbers,
    ...stockFrequencies.map((megahertz) => `OSC-${megahertz}MHz`),
  ];
}

/** Functions that have both a behaviour and figures in the family, in the order of their numbers. */
export function functionsOf(family: string): readonly string[] {
  const functions = new Set(familyFigures(family).rows.map((row) => row.function));
  return [...functions].filter((fn) => behaviourOf(fn) !== undefined && packageOf(fn) !== undefined);
}

function logicPart(number: string, { family, function: fn }: LogicNumber, conditions: Conditions): Part | PartProblem {
  const behaviour = behaviourOf(fn);
  const shape = packageOf(fn);
  if (!functionsOf(family).includes(fn) || behaviour === undefined || shape === undefined) {
    const others = families.filter((other) => functionsOf(other).includes(fn)).map((other) => `74${other}${fn}`);
    if (others.length === 0) return unknown(number, `no function ${fn} in the catalogue`);
    return {
      problem: `no figures for a 74${family}${fn}; the function is on record in ${others.length} other families`,
      suggestions: others,
    };
  }
  const maker = makerFor(number, conditions);
  if (maker !== undefined && !madeBy(maker, makersOf(family, fn))) {
    return {
      problem: `no figures for a 74${family}${fn} by ${maker}; on record: ${makersOf(family, fn).join(", ")}`,
      suggestions: [],
    };
  }
  // Small-outline packages have the pin order of the DIP: common practice.
  const smallOutline = shape.isDual && logicInDip(family, fn).made === "no";
  return {
    number,
    family,
    behaviour,
    package: smallOutline ? { ...shape, name: shape.name.replace("DIP", "SO"), isDual: false } : shape,
    figures: logicFigures(behaviour, familyFigures(family), conditions, maker),
  };
}

function memoryPart(number: string, rows: readonly MemoryRow[], conditions: Conditions): Part | PartProblem {
  const maker = makerFor(number, conditions);
  const chosen = maker === undefined ? rows : rows.filter((row) => madeBy(maker, [row.source.publisher]));
  const [first] = chosen;
  if (first === undefined) {
    const publishers = [...new Set(rows.map((row) => row.source.publisher))];
    return { problem: `no figures for ${number} by ${maker}; on record: ${publishers.join(", ")}`, suggestions: [] };
  }
  const behaviour = behaviourOf(first.function);
  const shape = packageOf(first.function);
  if (behaviour === undefined || shape === undefined) return unknown(number, `no pin map for ${number}`);
  return {
    number,
    family: memoryFamily(behaviour),
    behaviour,
    package: packageFor(shape, chosen),
    figures: memoryFigures(number, behaviour, chosen, conditions),
  };
}

function oscillatorPart(number: string, { type, hertz, ppm }: OscillatorNumber): Part | PartProblem {
  const isDefault = type === "OSC";
  const series = canSeries.find((s) => (isDefault ? s.name === DEFAULT_SERIES : type in s.stability));
  const behaviour = behaviourOf("oscillator");
  if (series === undefined || behaviour === undefined) {
    const types = canSeries.flatMap((s) => Object.keys(s.stability));
    return {
      problem: `no oscillator series ${type} in the catalogue`,
      suggestions: ["OSC", ...types]
        .map((name) => `${name}${number.slice(number.indexOf("-", type.length))}`)
        .slice(0, 5),
    };
  }
  const megahertz = Number(hertz.numerator) / Number(hertz.denominator) / 1e6;
  const [lowest, highest] = series.megahertz;
  if (megahertz < lowest || megahertz > highest) {
    return {
      problem: `${number}: the series ${series.name} is made for ${lowest} to ${highest} MHz`,
      suggestions: nearestFrequencies(megahertz),
    };
  }
  const tolerance = ppm ?? (isDefault ? DEFAULT_STABILITY_PPM : (series.stability[type] ?? DEFAULT_STABILITY_PPM));
  const isHalf = series.halfSize.includes(type);
  const cans = packagesOf("oscillator");
  const shape = cans.find((can) => can.name.startsWith(isHalf ? "DIP-8" : "DIP-14")) ?? cans[0];
  if (shape === undefined) return unknown(number, `no pin map for ${number}`);
  return {
    number,
    family: "oscillator",
    behaviour,
    package: shape,
    figures: noFigures(number),
    oscillation: oscillationOf(series, isDefault ? `${series.name} series` : type, hertz, tolerance),
  };
}

function nearestFrequencies(megahertz: number): readonly string[] {
  return [...stockFrequencies]
    .sort((a, b) => Math.abs(a - megahertz) - Math.abs(b - megahertz))
    .slice(0, 3)
    .map((stock) => `OSC-${stock}MHz`);
}

/** `SRAM`, `EPROM`, `EEPROM` or `flash`. */
export function memoryFamily({ function: fn }: Behaviour): string {
  return /(EPROM|EEPROM|flash)$/.exec(fn)?.[0] ?? "SRAM";
}

/** The DIP pin map, or the same pins under the name of a package that the part does exist in. */
export function packageFor(shape: Package, rows: readonly MemoryRow[]): Package {
  const names = rows.flatMap((row) => row.packages);
  if (!shape.isDual || names.some((name) => /DIP/.test(name))) return shape;
  return { ...shape, name: names[0] ?? shape.name, isDual: false };
}

/** The maker that the circuit file names for a part. */
export function makerFor(number: string, { makers }: Conditions): string | undefined {
  if (makers === undefined) return undefined;
  return [...makers].find(([key]) => plainNumber(key) === plainNumber(number))?.[1];
}

/** Whether a maker, as the circuit file names it, is among these publishers. */
export function madeBy(maker: string, publishers: readonly string[]): boolean {
  const plain = (name: string) => name.toLowerCase().replaceAll(/[^a-z0-9]/g, "");
  return publishers.some((publisher) => plain(publisher).includes(plain(maker)));
}

/** The same function in other families goes before numbers that only look alike. */
function unknown(number: string, problem: string): PartProblem {
  const fn = /74[A-Z]*?(\d+(?:G\d+)?)[A-Z]*$/.exec(plainNumber(number))?.[1];
  const same = families.filter((family) => fn !== undefined && functionsOf(family).includes(fn));
  const suggestions = nearestNames(
    number,
    same.length > 0 ? same.map((family) => `74${family}${fn}`) : listPartNumbers(),
  );
  return { problem, suggestions };
}
