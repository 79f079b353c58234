import {
  type Conditions,
  type Part,
  type Substitute,
  describeConditions,
  familyTraits,
  memoriesNamed,
  outputSink,
  packagesOf,
  partInDip,
  sourceLine,
  substitutesFor,
} from "../parts/index.js";
import { inNs, printHertz, printPercent, printTime, printVoltRange } from "../quantity/index.js";
import { type BusView, busView } from "./bus-view.js";
import { type FunctionView, functionView } from "./function-table.js";
import { type DelayLine, type RequirementLine, delayLines, requirementLines } from "./part-figures.js";
import { type PartLevels, partLevels } from "./part-levels.js";
import { type PinMap, partPinMap } from "./pin-map.js";

/** Everything that the catalogue says of one part under stated conditions: what a page of a data sheet would say. */
export interface PartPage {
  readonly number: string;
  readonly title: string;
  /** Family, input levels, drive, in a line each; empty for memories and cans. */
  readonly family: readonly string[];
  /** `4.5 to 5.5 V, 0 to 70 °C`, and the maker where one was chosen. */
  readonly conditions: string;
  readonly pinMap: PinMap;
  /** Outputs that the catalogue does not describe. */
  readonly undescribed: readonly string[];
  readonly functions: FunctionView;
  readonly delays: readonly DelayLine[];
  readonly requirements: readonly RequirementLine[];
  /** Period and duty of an oscillator can, in a line each. */
  readonly oscillation: readonly string[];
  /** Absent where no levels are on record for the supply. */
  readonly levels?: PartLevels;
  /** Present on processors only. */
  readonly bus?: BusView;
  readonly housing: Housing;
  /** Parts that can take its place, the fastest first. */
  readonly substitutes: readonly SubstituteLine[];
  /** Every source that the page rests on, each once. */
  readonly sources: readonly string[];
}

/** In which packages a part is made, as far as that is on record. */
export interface Housing {
  readonly packages: readonly string[];
  readonly inDip: "yes" | "no" | "not known";
  /** What that means on a breadboard or perfboard, in a sentence. */
  readonly advice: string;
}

export interface SubstituteLine {
  readonly number: string;
  readonly title: string;
  readonly speed: "faster" | "as fast" | "slower" | "not covered";
  /** Its slowest arc in ns, and over that of the part on the page; absent where figures are missing. */
  readonly slowestNs?: number;
  readonly ratio?: number;
  /** Each a difference that a builder has to think of. */
  readonly differences: readonly string[];
}

/** The page of a part; figures hold under `conditions`, which have to be those that the part was found under. */
export function partPage(part: Part, conditions: Conditions): PartPage {
  const [delays, requirements] = [delayLines(part), requirementLines(part)];
  const maker = conditions.makers?.get(part.number);
  const bus = busView(part);
  const levels = partLevels(part, conditions);
  return {
    number: part.number,
    title: part.behaviour.title,
    family: familyLines(part, conditions),
    conditions: `${describeConditions(conditions)}${maker === undefined ? "" : `, ${maker}`}`,
    pinMap: partPinMap(part),
    undescribed: part.behaviour.undescribed,
    functions: functionView(part.behaviour),
    delays,
    requirements,
    oscillation: oscillationLines(part),
    ...(levels && { levels }),
    ...(bus && { bus }),
    housing: housingOf(part),
    substitutes: substitutesFor(part, conditions).map(substituteLine),
    sources: [
      ...new Set([
        ...[...delays, ...requirements].flatMap(({ sources }) => sources),
        ...(part.oscillation ? [sourceLine(part.oscillation.source)] : []),
        ...(bus ? [bus.source] : []),
        ...familySources(part),
        ...(levels?.lines ?? []).flatMap(({ sources }) => sources),
        `pins: ${sourceLine(part.package.source)}`,
      ]),
    ],
  };
}

function familyLines(part: Part, { supplyVolts }: Conditions): readonly string[] {
  const traits = familyTraits(part.family, part.behaviour.function);
  if (!traits) return [];
  const { title, levels, supply } = traits;
  const recalled = traits.fromMemory ? " (from memory)" : "";
  const isBeyond = supplyVolts.min < supply[0] || supplyVolts.max > supply[1];
  return [
    `${title}, made for ${supply[0]} to ${supply[1]} V${recalled}`,
    `${levels} input levels, outputs sink ${outputSink(part)} mA${recalled}`,
    ...(isBeyond ? [`the supply asked for, ${printVoltRange(supplyVolts)}, goes beyond what it is made for`] : []),
  ];
}

function familySources({ family, behaviour }: Part): readonly string[] {
  const traits = familyTraits(family, behaviour.function);
  if (!traits?.source) return [];
  return [`levels and drive: ${sourceLine({ ...traits.source, fromMemory: traits.fromMemory })}`];
}

function oscillationLines({ oscillation }: Part): readonly string[] {
  if (!oscillation) return [];
  const { hertz, period, duty } = oscillation;
  return [
    `frequency ${printHertz(hertz)}, period ${printTime(period.min)} to ${printTime(period.max)}`,
    `high for ${printPercent(duty.min)} to ${printPercent(duty.max)} of the period`,
  ];
}

function housingOf(part: Part): Housing {
  const listed = [...new Set(memoriesNamed(part.number).flatMap((row) => row.packages))];
  const cans = part.behaviour.clockSource ? packagesOf(part.behaviour.function).map(({ name }) => name) : [];
  const packages = listed.length > 0 ? listed : cans.length > 0 ? cans : [part.package.name];
  const { made, remark, source } = partInDip(part);
  const basis = [remark, source].filter((text) => text !== "").join("; ");
  const sentence = {
    yes: "Made in a DIP: it fits a breadboard.",
    no: "Not made in a DIP: on a breadboard or perfboard it needs an adapter.",
    "not known": "Whether it is made in a DIP is not on record: look before you order.",
  }[made];
  return { packages, inDip: made, advice: `${sentence} (${basis})` };
}

function substituteLine({ part, differences, slowest }: Substitute): SubstituteLine {
  const line = { number: part.number, title: part.behaviour.title, differences };
  if (!slowest) return { ...line, speed: "not covered" };
  const ratio = slowest.its.max / slowest.own.max;
  const speed = ratio < 0.95 ? "faster" : ratio > 1.05 ? "slower" : "as fast";
  return { ...line, speed, slowestNs: inNs(slowest.its.max), ratio };
}
