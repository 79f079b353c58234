import { type Range, femtofarads, microvolts, nanoamps, ns } from "../quantity/index.js";
import type { Source } from "./figures.js";
import { currentPoints, flat, levelSource, supplyPoints } from "./level-columns.js";
import {
  type CurrentPoint,
  type InputFigures,
  type LevelFigures,
  type OutputFigures,
  TYPICAL_OF_GREATEST,
} from "./level-figures.js";
import {
  type MemoryLevels,
  type OtherLevels,
  canLevels,
  memoryLevels,
  memorySources,
  otherLevels,
  otherSources,
} from "./level-rows.js";
import { memoriesNamed } from "./memory-numbers.js";
import type { MemoryRow } from "./memory-rows.js";
import { DEFAULT_SERIES, canSeries } from "./oscillator-cans.js";
import type { Part } from "./part.js";
import { parseOscillatorNumber } from "./part-number.js";

/** Load of the times where a memory's sheet does not tell it: that of fast ones, the smaller. */
const UNKNOWN_TEST_LOAD_PF = 30;

/** An ambient that no column need be chosen for: the tables behind this file have one for all. */
const ANY_AMBIENT: Range = { min: 0, max: 70 };

/**
 * The levels of a memory: of a generic number the worst of every maker on record whose memory is for the supply. Sheets are
 * for 0 to 70 °C or more.
 */
export function memoryLevelsOf(part: Part, supplyVolts: Range, ambient: Range): LevelFigures | undefined {
  const named = memoriesNamed(part.levelsAs ?? part.number);
  const serving = named.filter(({ supply: [from, to] }) => from <= supplyVolts.min && supplyVolts.max <= to);
  const rows = serving.length > 0 ? serving : named;
  const found = rows.flatMap((row) => {
    const levels = classOf(row);
    return levels ? [{ row, levels }] : [];
  });
  const [first] = found;
  if (!first || found.length < rows.length || rows.some((row) => !covers(row, ambient))) return undefined;
  const worst = (of: (one: MemoryLevels) => number, pick: "least" | "greatest") =>
    found.reduce((a, b) => {
      const difference = of(b.levels) - of(a.levels);
      return (pick === "least" ? difference < 0 : difference > 0) ? b : a;
    }, first);
  const source = ({ levels }: typeof first): Source => ({
    ...levelSource(memorySources, levels.source, levels.fromMemory),
    ...(levels.note !== undefined && { column: levels.note }),
  });
  const supply: [number, number] = [
    Math.max(...found.map(({ row }) => row.supply[0])),
    Math.min(...found.map(({ row }) => row.supply[1])),
  ];
  const vih = worst(({ vih }) => vih, "greatest");
  const vil = worst(({ vil }) => vil, "least");
  const high = worst(({ voh }) => Math.min(...voh.map((row) => row.any ?? 0)), "least");
  const low = worst(({ vol }) => Math.max(...vol.map((row) => row.any ?? 0)), "greatest");
  const into = worst(({ inputMilliamps }) => inputMilliamps, "greatest");
  const off = worst(({ offMilliamps }) => offMilliamps, "greatest");
  const pF = Math.max(...found.map(({ row, levels }) => row.ciMax ?? levels.inputPf));
  const offPf = Math.max(...found.map(({ row, levels }) => row.coMax ?? levels.offPf));
  const isPrinted = found.every(({ row }) => row.ciMax !== undefined);
  const steepest = worst(({ nsPerPf }) => nsPerPf, "greatest");
  const limitedTo = (points: readonly CurrentPoint[], of: (one: MemoryLevels) => number): readonly CurrentPoint[] => {
    const most = nanoamps(Math.min(...found.map(({ levels }) => of(levels))));
    return points.map((point) => ({ ...point, current: point.current < most ? point.current : most }));
  };
  const input: InputFigures = {
    technology: first.levels.technology,
    high: flat(vih.levels.vih, supply),
    low: flat(vil.levels.vil, supply),
    isSchmitt: false,
    currentHigh: nanoamps(into.levels.inputMilliamps),
    currentLow: nanoamps(into.levels.inputMilliamps),
    capacitance: femtofarads(pF),
    isTypicalCapacitance: false,
    typicalCapacitance: femtofarads(TYPICAL_OF_GREATEST * pF),
    upTo: "supply",
    levelSource: source(vih),
    currentSource: source(into),
    capacitanceSource: isPrinted
      ? { publisher: first.row.source.publisher, document: first.row.source.document, fromMemory: first.row.fromMemory }
      : source(first),
  };
  const output: OutputFigures = {
    technology: first.levels.technology,
    kind: first.levels.name,
    high: limitedTo(currentPoints(high.levels.voh, supply, ANY_AMBIENT) ?? [], ({ voh }) =>
      Math.max(...voh.map(({ mA }) => mA)),
    ),
    low: limitedTo(currentPoints(low.levels.vol, supply, ANY_AMBIENT) ?? [], ({ vol }) =>
      Math.max(...vol.map(({ mA }) => mA)),
    ),
    followsSupply: false,
    offCurrentHigh: nanoamps(off.levels.offMilliamps),
    offCurrentLow: nanoamps(off.levels.offMilliamps),
    offCapacitance: femtofarads(offPf),
    typicalOffCapacitance: femtofarads(TYPICAL_OF_GREATEST * offPf),
    testLoad: femtofarads(Math.min(...found.map(({ row }) => testLoadPf(row)))),
    slope: { rise: steepest.levels.nsPerPf, fall: steepest.levels.nsPerPf, source: source(steepest) },
    highSource: source(high),
    lowSource: source(low),
    offSource: source(off),
  };
  return {
    supplyVolts: { min: supply[0], max: supply[1] },
    supplySource: { publisher: first.row.source.publisher, document: first.row.source.document, fromMemory: false },
    input: () => input,
    output: (pin) => (part.behaviour.undescribed.includes(pin) ? { missing: `${part.number} ${pin} levels` } : output),
  };
}

function classOf({ part }: MemoryRow): MemoryLevels | undefined {
  const number = part.toUpperCase();
  const fits = (series: string) => number.startsWith(series.toUpperCase());
  const [best] = memoryLevels
    .flatMap((levels) => levels.series.filter(fits).map((series) => ({ levels, length: series.length })))
    .sort((a, b) => b.length - a.length);
  return best?.levels;
}

function covers({ ambient: [from, to] }: MemoryRow, ambient: Range): boolean {
  return from <= ambient.min && ambient.max <= to;
}

/** `1 TTL + 100 pF; 5 pF for Hi-Z`: what is for letting go does not count. */
function testLoadPf({ testLoad = "" }: MemoryRow): number {
  const [, load] = /(\d+) pF(?! for|, \+-)/.exec(testLoad) ?? [];
  return load === undefined ? UNKNOWN_TEST_LOAD_PF : Number(load);
}

/** The levels of an oscillator can at its output. */
export function canLevelsOf({ number, oscillation, behaviour }: Part): LevelFigures | undefined {
  const read = parseOscillatorNumber(number);
  const type = read?.type ?? "";
  const series = canSeries.find((one) => (type === "OSC" ? one.name === DEFAULT_SERIES : type in one.stability));
  const levels = canLevels.find(({ name }) => name === series?.name);
  if (!series || !levels || !oscillation) return undefined;
  const [min, max] = series.supply;
  const { numerator, denominator } = oscillation.hertz;
  const megahertz = Number(numerator) / Number(denominator) / 1e6;
  const most = levels.mostPf.find(({ upTo }) => megahertz <= upTo);
  const inputs = levels.mostTtl.find(({ upTo }) => megahertz <= upTo);
  const source: Source = { ...levels.source, fromMemory: levels.fromMemory };
  const { transition } = levels;
  const output: OutputFigures = {
    technology: "CMOS",
    kind: "can",
    high: currentPoints(levels.voh, series.supply, ANY_AMBIENT) ?? [],
    low: currentPoints(levels.vol, series.supply, ANY_AMBIENT) ?? [],
    followsSupply: false,
    offCurrentHigh: nanoamps(0),
    offCurrentLow: nanoamps(0),
    offCapacitance: femtofarads(0),
    typicalOffCapacitance: femtofarads(0),
    // An oscillator's delay is nobody's business: all times count from its edges.
    testLoad: femtofarads(most?.pF ?? UNKNOWN_TEST_LOAD_PF),
    ...(most && { mostLoad: femtofarads(most.pF) }),
    ...(inputs && { mostInputs: inputs.inputs }),
    ...(transition && {
      transition: {
        supply: microvolts(transition.volts),
        time: ns(((transition.ns.any ?? 0) * 0.8) / transition.share),
        load: femtofarads(transition.pF),
        perFemtofarad: 0,
        source,
      },
    }),
    highSource: source,
    lowSource: source,
    offSource: source,
  };
  const enable = behaviour.clockSource?.enable ? "its enable" : "an input";
  return {
    supplyVolts: { min, max },
    supplySource: source,
    input: (pin) => ({ missing: `${number} ${pin}: levels of ${enable}` }),
    output: () => output,
  };
}

/** What a signal from outside may be said to come from, besides a logic family. */
export const outsideKinds: readonly string[] = otherLevels.map(({ name }) => name);

/** The output of a processor, or of `CMOS` or `TTL` in general. */
export function outsideOutput(name: string): OutputFigures | undefined {
  const found = otherLevels.find((one) => one.name === name);
  return found && otherOutput(found);
}

export function processorLevelsOf(name: string, number: string): LevelFigures | undefined {
  const levels = otherLevels.find((one) => one.name === name);
  if (!levels) return undefined;
  const [min, max] = levels.supply;
  const source = levelSource(otherSources, levels.source, levels.fromMemory);
  return {
    supplyVolts: { min, max },
    supplySource: source,
    input: (pin) => otherInput(levels, pin) ?? { missing: `${number} ${pin} levels` },
    output: () => otherOutput(levels),
  };
}

function otherInput(levels: OtherLevels, pin: string): InputFigures | undefined {
  const own = levels.pins.find(({ pins }) => pins.includes(pin)) ?? levels;
  const { inputMilliamps, inputPf } = levels;
  const at = (level: number | undefined, share: number | undefined, below: number | undefined) => {
    if (level !== undefined) return flat(level, levels.supply);
    if (share === undefined && below === undefined) return undefined;
    return supplyPoints(levels.supply.map((volts) => [volts, volts * (share ?? 1) - (below ?? 0)]));
  };
  const high = at(own.vih, own.vihShare, own.vihBelow);
  const low = at(own.vil, own.vilShare, undefined);
  if (!high || !low || inputMilliamps === undefined || inputPf === undefined) return undefined;
  const source = levelSource(otherSources, levels.source, levels.fromMemory);
  return {
    technology: levels.technology,
    high,
    low,
    isSchmitt: false,
    currentHigh: nanoamps(inputMilliamps),
    currentLow: nanoamps(inputMilliamps),
    capacitance: femtofarads(inputPf),
    isTypicalCapacitance: false,
    typicalCapacitance: femtofarads(TYPICAL_OF_GREATEST * inputPf),
    upTo: "supply",
    levelSource: source,
    currentSource: source,
    capacitanceSource: source,
  };
}

function otherOutput(levels: OtherLevels): OutputFigures {
  const source = levelSource(otherSources, levels.source, levels.fromMemory);
  return {
    technology: levels.technology,
    kind: levels.name,
    high: currentPoints(levels.voh, levels.supply, ANY_AMBIENT) ?? [],
    low: currentPoints(levels.vol, levels.supply, ANY_AMBIENT) ?? [],
    followsSupply: false,
    offCurrentHigh: nanoamps(levels.offMilliamps ?? 0),
    offCurrentLow: nanoamps(levels.offMilliamps ?? 0),
    offCapacitance: femtofarads(levels.offPf ?? 0),
    typicalOffCapacitance: femtofarads(TYPICAL_OF_GREATEST * (levels.offPf ?? 0)),
    testLoad: femtofarads(UNKNOWN_TEST_LOAD_PF),
    highSource: source,
    lowSource: source,
    offSource: source,
  };
}
