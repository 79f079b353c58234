import {
  type Obstacle,
  PATH_FORMULAS,
  type Plan,
  RATE_FORMULAS,
  type SearchResult,
  type StandsInTheWay,
  type WishName,
  type Wishes,
  totalOf,
} from "../planning/index.js";
import { printHertz } from "../quantity/index.js";
import { inHertz, lineRate, shortName } from "../raster/index.js";

/** A plan in sentences: its raster, where its margin is, its memory, how the processor writes, and what can be written of it. */
export function planSentences(plan: Plan): readonly string[] {
  const { raster, line, frame, figures, paths, content } = plan;
  const [tightest] = paths;
  const { lineRatePercent, frameRatePercent } = plan.counted;
  const cellDots = content.kind === "text" ? content.characterDots : 8 / content.bitsPerDot;
  const share = (counts: Plan["line"]) =>
    `${counts.active}+${counts.frontPorch}+${counts.sync}+${counts.backPorch} = ${totalOf(counts)}`;
  const khz = ((inHertz(lineRate(raster)) / 1000) * (1 + lineRatePercent / 100)).toFixed(3);
  return [
    `${raster.name} (${shortName(raster)}) from ${clockText(plan)}, ${contentText(plan)}, ${plan.memory}, ${familyText(plan)}.`,
    `A line is ${share(line)} cells of ${cellDots} dots, ${khz} kHz (${signed(lineRatePercent)} %); a frame ${share(frame)} lines ` +
      `(${signed(frameRatePercent)} %): picture, front porch, sync, back porch. It fills ${figures.filledPercent} % of the screen.`,
    tightest
      ? `The margin is set by the ${tightest.path}, ${tightest.margin.toFixed(1)} ns: ${PATH_FORMULAS[tightest.path]}.`
      : "",
    `Memory: the picture spans ${count(figures.memoryUsed)} bytes, ${count(figures.memoryLeft)} are left.`,
    `Writes: ${RATE_FORMULAS[plan.sharing]}; ${figures.hasOwnClock ? "the processor has a clock of its own" : "the board clocks the processor"}` +
      `${figures.canRead ? "" : " and cannot read"}.`,
  ].filter((text) => text !== "");
}

/** Title and opening remark of the circuit that is written of one of so many plans. */
export function headingOf({ columns, rows, raster }: Plan, number: number, of: string) {
  const about = `Plan ${number} of ${of}, written as a circuit: ${columns} x ${rows} dots on ${raster.name}.`;
  return { title: `Plan ${number}`, about };
}

/** A plan in one clause. */
export function planInShort(plan: Plan): string {
  const { figures, columns, rows, raster } = plan;
  return (
    `${columns}×${rows} dots, ${figures.colours} colours, ${shortName(raster)} from ${clockText(plan)}, ${plan.memory}, ` +
    `${plan.sharing}, ${familyText(plan)}: ${figures.chips} chips, margin ${marginText(figures)}, ` +
    `${rateText(figures.bytesPerSecond)}, wait ${waitText(figures.longestWaitNs)}`
  );
}

/** What combinations fell at, most first, each with how many. */
export function fallenTexts({ fallen }: SearchResult): readonly string[] {
  return [...fallen]
    .filter(([, fell]) => fell > 0)
    .sort(([, a], [, b]) => b - a)
    .map(([obstacle, fell]) => `${OBSTACLE_WORDS[obstacle]}: ${count(fell)}`);
}

/** Which wishes make room by being left out, with what stands in their place, and the nearest plan then. */
export function wayOutText({ wishes: names, nearest }: StandsInTheWay, wishes: Wishes): string {
  const given = names.map((name) => `${WISH_WORDS[name]} (${instead(name, nearest, wishes)})`).join(" and ");
  return `${given}: ${planInShort(nearest)}`;
}

/** The oscillator of a plan, and what it is divided by. */
export function clockText({ oscillator, divider }: Plan): string {
  return `${printHertz(oscillator)}${divider === 1 ? "" : ` divided by ${divider}`}`;
}

function contentText({ content }: Plan): string {
  if (content.kind === "bitmap") return content.bitsPerDot === 1 ? "1 bit a dot" : `${content.bitsPerDot} bits a dot`;
  const { characters, lines, characterDots, characterRows, characterRom } = content;
  return `${characters}×${lines} characters of ${characterDots}×${characterRows} dots from ${characterRom}`;
}

function familyText({ family }: Plan): string {
  return family === "HC" ? "74HC logic" : "fast logic (74ACT, 74ALS, 74AHCT)";
}

/** How many combinations were searched, and of what. */
export function spaceText({ combinations, space }: SearchResult): string {
  const { rasters, oscillators, dividers, pictures, memories, sharing, logic } = space;
  const of = (list: readonly unknown[], one: string, many: string) =>
    `${list.length} ${list.length === 1 ? one : many}`;
  return (
    `${count(combinations)} combinations (${of(rasters, "raster", "rasters")} × ${of(oscillators, "oscillator", "oscillators")} × ` +
    `${of(dividers, "divider", "dividers")} × ${of(pictures, "kind of picture", "kinds of picture")} × ` +
    `${of(memories, "RAM", "RAMs")} × ${of(sharing, "way of sharing", "ways of sharing")} × ` +
    `${of(logic, "choice of logic", "choices of logic")})`
  );
}

export function count(value: number): string {
  return value.toLocaleString("en");
}

/** The margin of a plan, in whole nanoseconds that there are at least. */
export function marginText({ marginNs }: Pick<Plan["figures"], "marginNs">): string {
  return marginNs === 0 ? "<1 ns" : `${marginNs} ns`;
}

export function rateText(bytesPerSecond: number): string {
  const kilo = bytesPerSecond / 1000;
  return kilo >= 1000 ? `${(kilo / 1000).toFixed(2)} MB/s` : `${kilo.toFixed(0)} kB/s`;
}

export function waitText(ns: number): string {
  return ns < 1000 ? `${Math.round(ns)} ns` : `${(ns / 1000).toPrecision(3)} µs`;
}

function signed(percent: number): string {
  return `${percent < 0 ? "−" : "+"}${Math.abs(percent).toFixed(2)}`;
}

const OBSTACLE_WORDS: Readonly<Record<Obstacle, string>> = {
  interlaced: "the raster is interlaced, which is not planned",
  monitor: "the monitor does not follow the raster",
  phases: "an eighth of a memory cycle is shorter than a period of the oscillator",
  greys: "256 greys are finer than the resistors of one wire",
  "line rate": "whole cells and lines come too far from the raster's rates",
  "horizontal sync": "no whole number of cells is as wide as horizontal sync, by 10 %",
  porches: "no room for porches",
  picture: "the picture does not fit the raster, or its width is no whole number of bytes",
  "memory size": "the memory is too small",
  "memory left": "the picture leaves too little memory",
  margin: "too slow: the margin is below zero or below the wish",
  chips: "too many chips",
  writes: "the processor writes too slowly",
  wait: "the processor waits too long",
};

const WISH_WORDS: Readonly<Record<WishName, string>> = {
  rasters: "another raster",
  monitor: "another monitor",
  oscillators: "another oscillator",
  lines: "another number of lines",
  shows: "another picture",
  bitsPerDot: "another depth",
  memories: "another RAM",
  families: "other logic",
  sharing: "another way of sharing",
  bytesPerSecond: "a lower write rate",
  longestWaitNs: "a longer wait",
  chips: "more chips",
  marginNs: "less margin",
  memoryLeft: "less memory left",
  deviationPercent: "more deviation",
};

/** What the nearest plan has in place of a wish. */
function instead(name: WishName, plan: Plan, wishes: Wishes): string {
  const { figures } = plan;
  switch (name) {
    case "chips":
      return `${figures.chips} in place of ${wishes.chips}`;
    case "marginNs":
      return `${figures.marginNs} ns in place of ${wishes.marginNs} ns`;
    case "memoryLeft":
      return `${count(figures.memoryLeft)} bytes in place of ${count(wishes.memoryLeft ?? 0)}`;
    case "bytesPerSecond":
      return `${rateText(figures.bytesPerSecond)} in place of ${rateText(wishes.bytesPerSecond ?? 0)}`;
    case "longestWaitNs":
      return `${waitText(figures.longestWaitNs)} in place of ${waitText(wishes.longestWaitNs ?? 0)}`;
    case "deviationPercent":
      return `${figures.deviationPercent.toFixed(1)} % in place of ${wishes.deviationPercent} %`;
    case "memories":
      return plan.memory;
    case "oscillators":
      return printHertz(plan.oscillator);
    case "families":
      return familyText(plan);
    case "sharing":
      return plan.sharing;
    case "bitsPerDot":
      return contentText(plan);
    case "shows":
      return `${plan.columns}×${plan.rows} dots`;
    case "lines":
      return `${totalOf(plan.frame)}`;
    case "rasters":
    case "monitor":
      return shortName(plan.raster);
  }
}
