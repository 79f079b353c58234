import { pageWidth, textTable, wrapText } from "../paper/index.js";
import {
  type Distinction,
  type Obstacle,
  PATH_FORMULAS,
  type Plan,
  RATE_FORMULAS,
  type SearchResult,
  type StandsInTheWay,
  type WishName,
  type Wishes,
  obstaclesToWriting,
  writtenChips,
  distinctionsOf,
  totalOf,
} from "../planning/index.js";
import { printHertz } from "../quantity/index.js";
import { inHertz, lineRate, shortName } from "../raster/index.js";

/** The plans that are shown, each with its number among all that no other beats. */
export function plansText(result: SearchResult, shown: readonly Plan[]): string {
  const { front, meeting } = result;
  const distinctions = distinctionsOf(front);
  const numbers = new Map(front.map((plan, index) => [plan, index + 1]));
  const of = (plan: Plan) => numbers.get(plan) ?? 0;
  const rows = shown.map((plan) => [String(of(plan)), ...cells(plan)]);
  const table = textTable(
    [
      { head: "no", align: "right" },
      { head: "picture", align: "right" },
      { head: "colours", align: "right" },
      { head: "chips", align: "right" },
      { head: "margin", align: "right" },
      { head: "writes", align: "right" },
      { head: "wait", align: "right" },
      { head: "off", align: "right" },
      { head: "processor" },
    ],
    rows,
  );
  const intro = [
    `${count(meeting)} of ${spaceText(result)} meet the wishes; ${front.length === 1 ? "one" : count(front.length)} of them ${front.length === 1 ? "is" : "are"} beaten by no other` +
      (shown.length < front.length
        ? `. ${shown.length} are shown: the best in each figure, then those that are bad at none (--all shows all).`
        : "."),
  ].flatMap((text) => wrapText(text, pageWidth));
  const details = shown.flatMap((plan) => detailLines(plan, of(plan), distinctions.get(plan) ?? []));
  const notes = wrapText(
    "Chips and margins are estimates from data-sheet limits, made to choose by; 'prove' judges the circuit. Dots that are " +
      "not square, or a picture that does not fill the screen, are as wished. Check a fixed-frequency monitor's manual " +
      "before you connect anything: a wrong line rate can damage it.",
    pageWidth,
  );
  return [...intro, "", table, "", ...details, ...notes].join("\n");
}

/** What stands in the way where no plan meets the wishes. */
export function obstaclesText(result: SearchResult, obstacles: readonly StandsInTheWay[], wishes: Wishes): string {
  const lines = wrapText(`None of ${spaceText(result)} meets all wishes.`, pageWidth);
  const fallen = [...result.fallen].filter(([, fell]) => fell > 0).sort(([, a], [, b]) => b - a);
  lines.push("", "What they fell at:");
  for (const [obstacle, fell] of fallen) lines.push(...bullet(`${OBSTACLE_WORDS[obstacle]}: ${count(fell)}`));
  if (obstacles.length === 0) {
    lines.push("", ...wrapText("No one or two of the wishes make room by being left out; leave out more.", pageWidth));
    return lines.join("\n");
  }
  lines.push("", "What makes room, and the nearest plan then:");
  for (const { wishes: names, nearest } of obstacles) {
    const given = names.map((name) => `${WISH_WORDS[name]} (${instead(name, nearest, wishes)})`).join(" and ");
    lines.push(...bullet(`${given}: ${planInShort(nearest)}`));
  }
  return lines.join("\n");
}

function bullet(text: string): readonly string[] {
  return wrapText(text, pageWidth - 2).map((line, index) => (index === 0 ? `- ${line}` : `  ${line}`));
}

function cells({ columns, rows, figures, sharing }: Plan): readonly string[] {
  return [
    `${columns}×${rows}`,
    String(figures.colours),
    String(figures.chips),
    `${figures.marginNs} ns`,
    rateText(figures.bytesPerSecond),
    waitText(figures.longestWaitNs),
    `${figures.deviationPercent.toFixed(1)} %`,
    sharing,
  ];
}

function detailLines(plan: Plan, number: number, distinctions: readonly Distinction[]): readonly string[] {
  const { raster, line, frame, figures, paths, content } = plan;
  const [tightest] = paths;
  const { lineRatePercent, frameRatePercent } = plan.counted;
  const best = distinctions.length > 0 ? ` (${distinctions.join(", ")})` : "";
  const cellDots = content.kind === "text" ? content.characterDots : 8 / content.bitsPerDot;
  const share = (counts: Plan["line"]) =>
    `${counts.active}+${counts.frontPorch}+${counts.sync}+${counts.backPorch} = ${totalOf(counts)}`;
  const khz = ((inHertz(lineRate(raster)) / 1000) * (1 + lineRatePercent / 100)).toFixed(3);
  const [chips, [obstacle]] = [writtenChips(plan), obstaclesToWriting(plan)];
  const texts = [
    `${raster.name} (${shortName(raster)}) from ${clockText(plan)}, ${contentText(plan)}, ${plan.memory}, ${familyText(plan)}.`,
    `A line is ${share(line)} cells of ${cellDots} dots, ${khz} kHz (${signed(lineRatePercent)} %); a frame ${share(frame)} lines ` +
      `(${signed(frameRatePercent)} %): picture, front porch, sync, back porch. It fills ${figures.filledPercent} % of the screen.`,
    tightest
      ? `The margin is set by the ${tightest.path}, ${tightest.margin.toFixed(1)} ns: ${PATH_FORMULAS[tightest.path]}.`
      : "",
    `Memory: the picture spans ${count(figures.memoryUsed)} bytes, ${count(figures.memoryLeft)} are left.`,
    `Writes: ${RATE_FORMULAS[plan.sharing]}; ${figures.hasOwnClock ? "the processor has a clock of its own" : "the board clocks the processor"}` +
      `${figures.canRead ? "" : " and cannot read"}.`,
    chips === undefined
      ? `No circuit of it can be written: ${obstacle}.`
      : `Chips are estimated as of a board that somebody made with care: ${figures.chips}. The circuit that --write makes has ${chips}.`,
  ];
  return [
    `${number}${best}`,
    ...texts.filter((text) => text !== "").flatMap((text) => wrapText(text, pageWidth - 2).map((one) => `  ${one}`)),
    "",
  ];
}

function planInShort(plan: Plan): string {
  const { figures, columns, rows, raster } = plan;
  return (
    `${columns}×${rows} dots, ${figures.colours} colours, ${shortName(raster)} from ${clockText(plan)}, ${plan.memory}, ` +
    `${plan.sharing}, ${familyText(plan)}: ${figures.chips} chips, margin ${figures.marginNs} ns, ` +
    `${rateText(figures.bytesPerSecond)}, wait ${waitText(figures.longestWaitNs)}`
  );
}

function clockText({ oscillator, divider }: Plan): string {
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

function spaceText({ combinations, space }: SearchResult): string {
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

function count(value: number): string {
  return value.toLocaleString("en");
}

function rateText(bytesPerSecond: number): string {
  const kilo = bytesPerSecond / 1000;
  return kilo >= 1000 ? `${(kilo / 1000).toFixed(2)} MB/s` : `${kilo.toFixed(0)} kB/s`;
}

function waitText(ns: number): string {
  return ns < 1000 ? `${Math.round(ns)} ns` : `${(ns / 1000).toPrecision(3)} µs`;
}

function signed(percent: number): string {
  return `${percent < 0 ? "−" : "+"}${Math.abs(percent).toFixed(2)}`;
}

const OBSTACLE_WORDS: Readonly<Record<Obstacle, string>> = {
  interlaced: "the raster is interlaced, which is not planned",
  monitor: "the monitor does not follow the raster",
  phases: "an eighth of a memory cycle is shorter than a period of the oscillator",
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
