import { type Range, fs, femtofarads, microvolts, nanoamps, ns } from "../quantity/index.js";
import { loadSlope } from "./allowances.js";
import type { Behaviour } from "./behaviour.js";
import type { Conditions } from "./conditions.js";
import type { Missing, Source } from "./figures.js";
import { currentPoints, levelSource, limitIn, supplyPoints } from "./level-columns.js";
import {
  type InputFigures,
  type LevelFigures,
  type OutputFigures,
  TYPICAL_OF_GREATEST,
  type Transition,
} from "./level-figures.js";
import { type FamilyLevels, type TransitionRow, logicLevels, logicSources } from "./level-rows.js";
import { likened } from "./likened-levels.js";
import { canLevelsOf, memoryLevelsOf, processorLevelsOf } from "./other-levels.js";
import type { Part } from "./part.js";
import { STANDARD_LOAD } from "./usable-rows.js";

/**
 * The DC figures of a part: by its family, by its series where it is a memory, an oscillator can or a processor. Undefined
 * where nothing is on record, as for a family of a builder's own.
 */
export function levelsOf(part: Part, conditions: LevelConditions): LevelFigures | undefined {
  const { levelsAs, behaviour } = part;
  const levels = ownLevelsOf(part, conditions);
  if (levelsAs === undefined) return levels;
  return levels && likened(levels, behaviour.memory ? levelsAs : `74${levelsAs}`);
}

type LevelConditions = Pick<Conditions, "supplyVolts" | "ambientCelsius">;

function ownLevelsOf(part: Part, { supplyVolts, ambientCelsius: ambient }: LevelConditions): LevelFigures | undefined {
  if (part.oscillation) return canLevelsOf(part);
  if (part.processor) return processorLevelsOf(part.processor.record.name, part.number);
  if (part.behaviour.memory) return memoryLevelsOf(part, supplyVolts, ambient);
  return familyLevels(part.levelsAs ?? part.family, part.behaviour, part.number, ambient);
}

/** The figures that any part of a family has, for a signal from outside that comes from one. */
export function standardOutputOf(family: string, ambient: Range): OutputFigures | Missing | undefined {
  const levels = logicLevels.find((one) => one.family === family && !one.functions);
  return levels && outputFigures(levels, { function: "", pins: [] }, "", `74${family}`, ambient);
}

export function familyLevels(
  family: string,
  behaviour: Pick<Behaviour, "function" | "pins">,
  number: string,
  ambient: Range,
): LevelFigures | undefined {
  const levels = logicLevels.find(
    (one) => one.family === family && (one.functions?.includes(behaviour.function) ?? true),
  );
  if (!levels) return undefined;
  const [min, max] = levels.supply;
  return {
    supplyVolts: { min, max },
    supplySource: sourceIn(levels, levels.inputs.at(-1)?.source ?? "", false),
    input: (pin) => inputFigures(levels, behaviour, pin, number, ambient),
    output: (pin) => outputFigures(levels, behaviour, pin, number, ambient),
  };
}

type Function = Pick<Behaviour, "function" | "pins">;

function inputFigures(
  levels: FamilyLevels,
  behaviour: Function,
  pin: string,
  number: string,
  ambient: Range,
): InputFigures | Missing {
  const level = levels.inputs.find((one) => isAbout(one, behaviour, pin));
  const current = levels.inputCurrents.find((one) => isAbout(one, behaviour, pin));
  const high = current && limitIn(current.high, ambient);
  const low = current && limitIn(current.low, ambient);
  if (!level || !current || !high || !low || !isCovered(levels, ambient)) return missing(number, pin, ambient);
  const { inputPf, inputEdge } = levels;
  const edges =
    inputEdge?.nsPerVolt ?? inputEdge?.nsPerEdge?.map(([volts, time]): [number, number] => [volts, time / volts]) ?? [];
  return {
    technology: levels.technology,
    high: supplyPoints(level.vih),
    low: supplyPoints(level.vil),
    isSchmitt: level.schmitt,
    currentHigh: nanoamps(high.value),
    currentLow: nanoamps(low.value),
    capacitance: femtofarads(inputPf.max ?? inputPf.typical ?? 0),
    isTypicalCapacitance: inputPf.max === undefined,
    typicalCapacitance: femtofarads(inputPf.typical ?? TYPICAL_OF_GREATEST * (inputPf.max ?? 0)),
    upTo: levels.inputsUpTo === "supply" ? "supply" : microvolts(levels.inputsUpTo),
    ...(inputEdge &&
      !level.schmitt && {
        slowestEdge: {
          points: edges.map(([volts, time]) => ({ supply: microvolts(volts), perVolt: ns(time) })),
          source: sourceIn(levels, inputEdge.source, false),
        },
      }),
    levelSource: sourceIn(levels, level.source, level.fromMemory),
    currentSource: sourceIn(levels, current.source, current.fromMemory, high.column),
    capacitanceSource: sourceIn(levels, inputPf.source, inputPf.fromMemory),
  };
}

function outputFigures(
  levels: FamilyLevels,
  behaviour: Function,
  pin: string,
  number: string,
  ambient: Range,
): OutputFigures | Missing {
  const output = levels.outputs.find((one) => isAbout(one, behaviour, pin));
  const high = output && currentPoints(output.voh, levels.supply, ambient);
  const low = output && currentPoints(output.vol, levels.supply, ambient);
  const offPin = levels.offPins.find((one) => isAbout(one, behaviour, pin));
  const [offHigh, offLow] = offPin ? [offPin.high, offPin.low] : [levels.off.mA, levels.off.mA];
  const [off, leak] = [limitIn(offHigh, ambient), limitIn(offLow, ambient)];
  if (!output || !high || !low || !off || !leak || !isCovered(levels, ambient)) return missing(number, pin, ambient);
  const { pF, pFFromMemory, pFSource } = levels.off;
  const slope = slopeOf(levels, behaviour, pin, ambient);
  const column = output.voh.map((row) => limitIn(row, ambient)?.column ?? "").find((name) => name !== "");
  const source = (fromMemory: boolean) => sourceIn(levels, output.source, output.fromMemory || fromMemory, column);
  const transition = output.transition && transitionOf(levels, output.transition, output.source, ambient);
  return {
    technology: levels.technology,
    kind: output.kind,
    high,
    low,
    followsSupply: levels.technology === "CMOS",
    offCurrentHigh: nanoamps(off.value),
    offCurrentLow: nanoamps(leak.value),
    offCapacitance: femtofarads(pF.max ?? pF.typical ?? 0),
    typicalOffCapacitance: femtofarads(pF.typical ?? TYPICAL_OF_GREATEST * (pF.max ?? 0)),
    testLoad: femtofarads(STANDARD_LOAD),
    ...(slope && { slope }),
    ...(transition && { transition }),
    highSource: source(false),
    lowSource: source(output.volFromMemory),
    offSource: sourceIn(levels, pFSource, pFFromMemory),
  };
}

/** How the output's delay grows with its load: its own slope where it has one, else that of the family. */
function slopeOf(levels: FamilyLevels, behaviour: Function, pin: string, ambient: Range): OutputFigures["slope"] {
  const family = loadSlope(levels.family);
  const own = levels.loadSlopes.find((one) => isAbout(one, behaviour, pin));
  const slope = own
    ? { rise: own.rise, fall: own.fall, source: sourceIn(levels, own.source, false) }
    : family && { ...family, source: { ...family.source, fromMemory: false } };
  if (!slope) return undefined;
  const factor = levels.slopeFactor && limitIn(levels.slopeFactor, ambient);
  if (!factor || factor.value === 1) return { rise: slope.rise, fall: slope.fall, source: slope.source };
  const at = (nanoseconds: number) => Number((nanoseconds * factor.value).toFixed(4));
  const column = `${slope.rise === slope.fall ? slope.rise : `${slope.rise} and ${slope.fall}`} ns/pF at 25 °C times ${factor.value}`;
  return { rise: at(slope.rise), fall: at(slope.fall), source: { ...slope.source, column } };
}

function transitionOf(
  levels: FamilyLevels,
  { volts, pF, ns: times, share, nsPerPf = 0, source, slopeSource }: TransitionRow,
  key: string,
  ambient: Range,
): Transition | undefined {
  const time = limitIn(times, ambient);
  if (!time) return undefined;
  const whole = 0.8 / share;
  return {
    supply: microvolts(volts),
    time: fs(Math.round(time.value * whole * 1e6)),
    load: femtofarads(pF),
    perFemtofarad: nsPerPf * 1e3,
    source: sourceIn(levels, source ?? key, false, time.column),
    ...(slopeSource !== undefined && { slopeSource: sourceIn(levels, slopeSource, false) }),
  };
}

/** Whether a record is about a pin: by the function, and by the pin's name or its group's. */
function isAbout(
  record: { readonly functions?: readonly string[]; readonly pins?: readonly string[] },
  behaviour: Function,
  pin: string,
): boolean {
  if (record.functions && !record.functions.includes(behaviour.function)) return false;
  if (!record.pins) return true;
  const group = behaviour.pins.find(({ name }) => name === pin)?.group;
  return record.pins.some((name) => name === pin || name === group);
}

function isCovered({ ambient: [from, to] }: FamilyLevels, ambient: Range): boolean {
  return from <= ambient.min && ambient.max <= to;
}

function sourceIn(levels: FamilyLevels, key: string, fromMemory: boolean, column = ""): Source {
  return levelSource(logicSources, key, levels.fromMemory || fromMemory, column);
}

function missing(number: string, pin: string, { min, max }: Range): Missing {
  return { missing: `${number} ${pin} levels, ${min} to ${max} °C` };
}
