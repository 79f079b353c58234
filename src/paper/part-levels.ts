import { highLevelAt, lowLevelAt, mostCurrent, thresholdAt } from "../electrical/index.js";
import {
  type Conditions,
  type InputFigures,
  type OutputFigures,
  type Part,
  type Source,
  isMissing,
  levelsOf,
  sourceLine,
} from "../parts/index.js";
import { type Microvolts, type Nanoamps, measure, microvolts, printMeasure } from "../quantity/index.js";
import { runsOf } from "./runs.js";

/** What some pins of a part take for low and high, or give. */
export interface LevelLine {
  readonly pins: string;
  readonly role: "in" | "out";
  /** `low up to 0.80 V, high from 2.00 V`; of outputs each level with the current at which it holds. */
  readonly levels: string;
  readonly isRecalled: boolean;
  readonly sources: readonly string[];
}

export interface PartLevels {
  /** The supply at which they hold, in volts: the least of what was asked for and the part is made for. */
  readonly volts: number;
  readonly lines: readonly LevelLine[];
}

/** The DC levels of every signal pin, pins that are alike together; undefined where none are on record for the supply. */
export function partLevels(part: Part, conditions: Conditions): PartLevels | undefined {
  const found = levelsOf(part, conditions);
  if (!found) return undefined;
  const volts = Math.max(conditions.supplyVolts.min, found.supplyVolts.min);
  if (volts > Math.min(conditions.supplyVolts.max, found.supplyVolts.max)) return undefined;
  const supply = microvolts(volts);
  const groups = new Map<string, { readonly pins: string[]; readonly line: Omit<LevelLine, "pins"> }>();
  const add = (pin: string, line: Omit<LevelLine, "pins">) => {
    const key = JSON.stringify(line);
    const group = groups.get(key);
    if (group) group.pins.push(pin);
    else groups.set(key, { pins: [pin], line });
  };
  for (const { name, role } of part.behaviour.pins) {
    const takes = role === "input" || role === "in-out" ? found.input(name) : undefined;
    const gives = role === "output" || role === "in-out" ? found.output(name) : undefined;
    if (takes && !isMissing(takes)) add(name, inputLine(takes, supply));
    if (gives && !isMissing(gives)) add(name, outputLine(gives, supply));
  }
  const lines = [...groups.values()].map(({ pins, line }) => ({ pins: runsOf(pins), ...line }));
  return lines.length === 0 ? undefined : { volts, lines };
}

function inputLine({ low, high, isSchmitt, levelSource }: InputFigures, supply: Microvolts): Omit<LevelLine, "pins"> {
  const schmitt = isSchmitt ? ", Schmitt trigger" : "";
  const levels = `low up to ${volt(thresholdAt(low, supply))}, high from ${volt(thresholdAt(high, supply))}${schmitt}`;
  return { role: "in", levels, ...resting([levelSource]) };
}

function outputLine(figures: OutputFigures, supply: Microvolts): Omit<LevelLine, "pins"> {
  const at = (name: string, current: Nanoamps, level: Microvolts | undefined) =>
    level === undefined ? [] : [`${name} ${volt(level)} at ${printMeasure(measure("current", current))}`];
  const [sunk, given] = [mostCurrent(figures.low, supply), mostCurrent(figures.high, supply)];
  const levels = [
    ...at("low up to", sunk, lowLevelAt(figures, supply, sunk)),
    ...at("high from", given, highLevelAt(figures, supply, given)),
  ];
  return { role: "out", levels: levels.join(", "), ...resting([figures.lowSource, figures.highSource]) };
}

function resting(sources: readonly Source[]): Pick<LevelLine, "isRecalled" | "sources"> {
  const lines = sources.map((source) => `levels: ${sourceLine(source)}`);
  return { isRecalled: sources.some(({ fromMemory }) => fromMemory), sources: [...new Set(lines)] };
}

function volt(level: Microvolts): string {
  return printMeasure(measure("voltage", level));
}
