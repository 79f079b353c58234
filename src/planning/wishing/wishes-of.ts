import { findPart, isPartProblem } from "../../parts/index.js";
import {
  type Misreading,
  type Reading,
  isMisread,
  parseCelsiusRange,
  parseHertz,
  parsePercent,
  parseTime,
  parseVoltRange,
  inNs,
} from "../../quantity/index.js";
import { findRaster, parseMonitorRange } from "../../raster/index.js";
import { characterRomAccess, isMemoryProblem, memoryChoice } from "../search/memory-choice.js";
import { conditionsOf } from "../search/space.js";
import { DEFAULT_WISHES, type Wishes } from "../search/wishes.js";
import type { WishKey, WishTexts } from "./shape.js";

/** Told what is wrong with a wish; `index` is the place in its list. */
export type ComplainOfWish = (key: WishKey, misreading: Misreading, index?: number) => void;

/** Reads wishes from their texts. What is wrong is told and left out. */
export function wishesOf(texts: WishTexts, complain: ComplainOfWish): Wishes {
  const read = <T>(key: WishKey, text: string | undefined, parse: (text: string) => Reading<T>, index?: number) => {
    if (text === undefined) return undefined;
    const reading = parse(text);
    if (!isMisread(reading)) return reading.value;
    complain(key, reading, index);
    return undefined;
  };
  const readList = <T>(key: "rasters" | "oscillators" | "memory", parse: (text: string) => Reading<T>) => {
    const list = texts[key];
    if (list === undefined) return undefined;
    return (typeof list === "string" ? [list] : list).flatMap((text, index) => {
      const value = read(key, text, parse, index);
      return value === undefined ? [] : [value];
    });
  };

  const supplyVolts = read("supply", texts.supply, parseVoltRange) ?? DEFAULT_WISHES.supplyVolts;
  const ambientCelsius = read("ambient", texts.ambient, parseCelsiusRange) ?? DEFAULT_WISHES.ambientCelsius;
  const base = { ...DEFAULT_WISHES, supplyVolts, ambientCelsius };
  const conditions = conditionsOf(base);

  const picture = read("picture", texts.picture, (text) => parseSize(text, "a picture", "320 x 240"));
  const page = read("text", texts.text, (text) => parseSize(text, "a page of text", "40 x 25"));
  const character = read("character", texts.character, (text) => parseSize(text, "a character", "8 x 16"));
  if (picture && page) {
    complain("text", { wrong: "both a picture and a page of text are wished for", expected: "one of them" });
  }
  const bits = texts.bits === undefined ? undefined : [texts.bits].flat();
  const wrongDepth = bits?.findIndex((depth) => ![1, 2, 4, 8].includes(depth)) ?? -1;
  if (wrongDepth >= 0) {
    complain(
      "bits",
      { wrong: `${bits?.[wrongDepth]} bits a dot do not fit a byte`, expected: "1, 2, 4 or 8" },
      wrongDepth,
    );
  }
  const wish = {
    rasters: readList("rasters", parseRaster),
    monitor: read("monitor", texts.monitor, parseMonitorRange),
    oscillators: readList("oscillators", parseHertz),
    lines: texts.lines,
    shows: picture
      ? ({ kind: "picture", ...picture } as const)
      : page && {
          kind: "text" as const,
          characters: page.width,
          lines: page.height,
          characterDots: character?.width ?? 8,
          ...(character && { characterRows: character.height }),
        },
    bitsPerDot: bits?.filter((_, index) => index !== wrongDepth),
    memories: readList("memory", (text) => {
      const choice = memoryChoice(text, conditions);
      if (!isMemoryProblem(choice)) return { value: text };
      const [near = "62256-70"] = choice.suggestions;
      return { wrong: choice.problem, expected: `a static RAM of eight bits, such as ${near}` };
    }),
    families: texts.families && [texts.families].flat(),
    sharing: texts.sharing && [texts.sharing].flat(),
    bytesPerSecond: read("write rate", texts["write rate"], parseByteRate),
    longestWaitNs: read("longest wait", texts["longest wait"], parseNs),
    chips: texts.chips,
    marginNs: read("margin", texts.margin, parseNs),
    memoryLeft: read("memory left", texts["memory left"], parseBytes),
  };
  const percent = read("deviation", texts.deviation, parsePercent);
  if (percent !== undefined && percent > MOST_DEVIATION) {
    complain("deviation", { wrong: "no monitor is that far from a raster", expected: "at most 10 %" });
  }
  const rom = read("character ROM", texts["character ROM"], (text) =>
    characterRomAccess(text, conditions) === undefined
      ? { wrong: `${text} is no ROM on record`, expected: "an EPROM, EEPROM or flash, such as 27C256-70" }
      : { value: text },
  );
  const processor = read("processor", texts.processor, (text) => {
    const part = findPart(text, conditions);
    if (!isPartProblem(part) && part.processor) return { value: text };
    return { wrong: `${text} is no processor on record`, expected: "one, such as W65C02S or Z84C0006" };
  });
  return {
    ...base,
    ...defined(wish),
    ...(percent !== undefined && { deviationPercent: 100 * percent }),
    ...(texts.composite !== undefined && { composite: texts.composite }),
    ...(texts.build !== undefined && { build: texts.build }),
    ...(processor !== undefined && { processor }),
    ...(rom !== undefined && { characterRom: rom }),
  };
}

/** As a share. */
const MOST_DEVIATION = 0.1;

/** Without the keys that have no value. */
function defined<T extends object>(record: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>;
  };
}

function parseRaster(text: string) {
  const found = findRaster(text);
  if (found.found) return { value: found.raster };
  return {
    wrong: `there is no published raster ${text.slice(0, 40)}`,
    expected: `a raster by its name, such as ${found.nearest[0] ?? "640x480@60"}`,
  };
}

/** A picture of more dots than this is none of a board of such chips. */
const MOST_ACROSS = 4096;

function parseSize(text: string, what: string, example: string): Reading<{ width: number; height: number }> {
  const [, width, height] = /^\s*(\d{1,5})\s*[x×]\s*(\d{1,5})\s*$/.exec(text) ?? [];
  const size = { width: Number(width), height: Number(height) };
  const isSize = (count: number) => count >= 1 && count <= MOST_ACROSS;
  if (isSize(size.width) && isSize(size.height)) return { value: size };
  return { wrong: `'${text.slice(0, 40)}' is no size of ${what}`, expected: `width and height, such as ${example}` };
}

function parseNs(text: string): Reading<number> {
  const reading = parseTime(text);
  return isMisread(reading) ? reading : { value: inNs(reading.value) };
}

const BYTE_UNITS: Readonly<Record<string, number>> = { B: 1, kB: 1e3, MB: 1e6, KiB: 1024, MiB: 1024 ** 2 };

function parseBytes(text: string): Reading<number> {
  const [, digits, unit = ""] = /^\s*(\d{1,9}(?:\.\d{1,3})?)\s*(B|kB|MB|KiB|MiB|bytes)\s*$/.exec(text) ?? [];
  if (digits !== undefined) return { value: Number(digits) * (BYTE_UNITS[unit] ?? 1) };
  return { wrong: `'${text.slice(0, 40)}' is no amount of memory`, expected: "a number and its unit, such as 4 KiB" };
}

function parseByteRate(text: string): Reading<number> {
  const reading = parseBytes(text.replace(/\s*\/\s*s\s*$/, ""));
  if (!isMisread(reading) && /\/\s*s\s*$/.test(text)) return reading;
  return { wrong: `'${text.slice(0, 40)}' is no rate of writing`, expected: "bytes a second, such as 300 kB/s" };
}
