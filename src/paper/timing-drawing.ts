import { formatTime, fs } from "../quantity/index.js";
import type { CycleDrawing } from "./cycle-drawing.js";
import type { Markup } from "./markup.js";
import { type Label, Sheet } from "./sheet.js";
import { fitText, textWidth } from "./text-width.js";
import {
  labelSize,
  layOutTiming,
  leastDimension,
  nameFace,
  nameSize,
  type PlacedLane,
  type PlacedMeasure,
  rulerTimes,
  signWidth,
  type TimingLayout,
} from "./timing-layout.js";
import { paintEdge, paintSegment } from "./wave-shapes.js";

export interface TimingDrawing {
  readonly svg: Markup;
  /** The boxes that the labels may take; no two of them meet. */
  readonly labels: readonly Label[];
}

/**
 * A memory cycle as a data sheet draws it: lanes in the given order under a ruler in oscillator ticks and nanoseconds,
 * slanted edges from earliest to latest, hatching where a value may change, a thin line at half height where nothing drives.
 * Available times stand above a wave, required times and margins below it. `name` makes the ids unique on a page; `width`
 * is in px, 1200 by default.
 */
export function drawCycle(drawing: CycleDrawing, name = "cycle", width = 1200): TimingDrawing {
  const sheet = new Sheet(name, width);
  const layout = layOutTiming(drawing, width);
  paintRuler(sheet, drawing, layout);
  for (const lane of layout.lanes) paintLane(sheet, lane, layout);
  for (const lane of layout.lanes) paintBrackets(sheet, lane);
  paintPath(sheet, layout);
  const height = paintKey(sheet, layout);
  const title = `${drawing.title}, ${formatTime(drawing.span)}`;
  return { svg: sheet.svg(height, title, describe(drawing)), labels: sheet.labels };
}

function describe({ lanes, brackets }: CycleDrawing): string {
  const margins = brackets.filter(({ kind }) => kind === "margin").map(({ lane, label }) => `${lane} ${label}`);
  const said = margins.length > 0 ? ` Margins: ${margins.join("; ")}.` : "";
  return `Timing diagram. Lanes: ${lanes.map(({ name }) => name).join(", ")}.${said} The same as a table follows it.`;
}

function paintRuler(sheet: Sheet, { ticks, span }: CycleDrawing, { plot, x, ruler, bottom }: TimingLayout): void {
  const edge = plot.left - 30;
  sheet.text(edge, ruler - 26, "time", { anchor: "end", size: labelSize, class: "quiet" });
  sheet.text(edge, ruler - 7, "tick", { anchor: "end", size: labelSize, class: "quiet" });
  sheet.line(plot.left, ruler, plot.right, ruler, "ink");
  for (const { time, text } of rulerTimes(span, plot.right - plot.left)) {
    sheet.line(x(time), ruler - 21, x(time), ruler - 17, "thin");
    sheet.text(x(time), ruler - 26, text, { anchor: "middle", class: "quiet" });
  }
  sheet.line(plot.left, ruler - 19, plot.right, ruler - 19, "hairline");

  const spacing = ticks.length > 1 ? (plot.right - plot.left) / ticks.length : plot.right - plot.left;
  const numberWidth = textWidth(String(ticks.length), labelSize, "mono") + 8;
  const every = niceStep(numberWidth / spacing);
  ticks.forEach((tick, index) => {
    const numbered = index % every === 0;
    if (!numbered && spacing < 3) return;
    sheet.line(x(tick), ruler - (numbered ? 5 : 3), x(tick), ruler, "ink");
    if (numbered || spacing >= 12) sheet.line(x(tick), ruler, x(tick), bottom, "grid");
    if (numbered) sheet.text(x(tick), ruler - 7, String(index), { anchor: "middle", face: "mono" });
  });
}

/** The least of 1, 2, 5, 10, 20, ... that is not below `least`. */
function niceStep(least: number): number {
  let power = 1;
  while (power * 10 < least) power *= 10;
  return [1, 2, 5, 10].map((factor) => factor * power).find((step) => step >= least) ?? power * 10;
}

function paintLane(sheet: Sheet, { lane, top, bottom }: PlacedLane, { plot, x }: TimingLayout): void {
  const face = nameFace(lane.kind);
  const middle = (top + bottom) / 2;
  const name = fitText(lane.name, plot.left - 16, nameSize, face);
  sheet.text(plot.left - 12, middle + 4, name, { anchor: "end", face, size: nameSize });

  const place = { top, bottom, x };
  for (const segment of lane.segments) paintSegment(sheet, segment, place);
  for (const edge of lane.edges) paintEdge(sheet, edge, place);
  for (const { from, to, level, label } of lane.segments) {
    if (label === undefined || level === "may change") continue;
    const room = x(to) - x(from) - 12;
    if (textWidth(label, labelSize, face) > room) continue;
    // Inside a pair of lines the label stands in the middle; a single line keeps clear of it.
    const baseline = level === 1 ? top + 14 : level === 0 ? bottom - 5 : middle + 4;
    sheet.text((x(from) + x(to)) / 2, baseline, label, { anchor: "middle", face });
  }
}

function paintBrackets(sheet: Sheet, { brackets, top, bottom }: PlacedLane): void {
  for (const measure of brackets) {
    const { bracket, left, right, y } = measure;
    const from = bracket.kind === "available" ? top : bottom;
    sheet.line(left, from, left, y + (y > from ? 4 : -4), "thin");
    sheet.line(right, from, right, y + (y > from ? 4 : -4), "thin");
  }
  for (const measure of brackets) {
    const { bracket } = measure;
    if (bracket.kind !== "margin") {
      paintDimension(sheet, measure, "thin", "solid");
      sheet.text(measure.labelLeft, labelBase(measure), measure.label);
      continue;
    }
    const state = bracket.state ?? "holds";
    const accent = state === "holds" ? "holds" : "fails";
    const bar = { x: measure.left, y: measure.y - 3, width: Math.max(2, measure.right - measure.left), height: 6 };
    sheet.rect(bar, state === "fails" ? "fails-solid" : `paper ${accent}${state === "holds" ? "" : " dashed"}`);
    const base = labelBase(measure);
    paintSign(sheet, measure.labelLeft + 5, base - 4, state === "fails" ? "fails" : "holds", accent);
    sheet.text(measure.labelLeft + signWidth, base, measure.label, { class: `${accent}-text` });
  }
}

function labelBase({ y, beside }: PlacedMeasure): number {
  return beside ? y + 4 : y - 6;
}

/** A filled triangle for what fails, an open circle for the rest: readable without colour. */
function paintSign(sheet: Sheet, x: number, y: number, sign: "fails" | "holds", accent: string): void {
  if (sign === "holds") {
    sheet.circle(x, y, 3.4, accent);
    return;
  }
  const corners = [
    [x, y - 4],
    [x + 4.5, y + 4],
    [x - 4.5, y + 4],
  ] as const;
  sheet.path(corners, "fails-solid", true);
}

/** A dimension line with an arrowhead at either end; the heads point inwards from outside where there is no room. */
function paintDimension(sheet: Sheet, { left, right, y }: PlacedMeasure, line: string, head: string): void {
  const outside = right - left < leastDimension;
  const reach = outside ? 8 : 0;
  sheet.line(left - reach, y, right + reach, y, line);
  paintHead(sheet, left, y, outside ? 1 : -1, head);
  paintHead(sheet, right, y, outside ? -1 : 1, head);
}

/** An arrowhead whose tip is at the point; it points right (1) or left (-1). */
function paintHead(sheet: Sheet, x: number, y: number, direction: 1 | -1, style: string): void {
  const back = x - direction * 6;
  const corners = [
    [x, y],
    [back, y - 2.2],
    [back, y + 2.2],
  ] as const;
  sheet.path(corners, style, true);
}

/** The chain of a chosen rule: along each lane for as long as the arc takes, then straight to the next lane. */
function paintPath(sheet: Sheet, { lanes, x }: TimingLayout): void {
  const byName = new Map(lanes.map((lane) => [lane.lane.name, lane]));
  for (const { path } of lanes) {
    for (const measure of path) {
      const { step, y } = measure;
      const start = byName.get(step.fromLane);
      const [begin, end] = [x(step.from), x(step.to)];
      if (start) {
        const before = start.path.find((other) => other.step.to === step.from && other.step !== step);
        const startY = before?.y ?? (start.top + start.bottom) / 2;
        sheet.line(begin, startY, begin, y, "asks");
        sheet.circle(begin, startY, 2.2, "asks-solid");
      }
      sheet.line(begin, y, end, y, "asks");
      if (Math.abs(end - begin) > 7) paintHead(sheet, end, y, end > begin ? 1 : -1, "asks-solid");
      else sheet.circle(end, y, 2.2, "asks-solid");
      sheet.text(measure.labelLeft, y - 5, measure.label, { class: "asks-text" });
    }
  }
}

/** What the lines mean, in as many rows as they need. Returns the height of the sheet. */
function paintKey(sheet: Sheet, { plot, bottom }: TimingLayout): number {
  const swatch = 26;
  const box = (x: number, y: number) => ({ top: y - 9, bottom: y, x: (time: number) => x + time });
  const entries: readonly { text: string; paint: (x: number, y: number) => void }[] = [
    {
      text: "changes between earliest and latest",
      paint: (x, y) => {
        sheet.line(x, y, x + 6, y, "ink");
        paintEdge(sheet, { earliest: fs(6), latest: fs(20), from: 0, to: 1 }, box(x, y));
        sheet.line(x + 20, y - 9, x + swatch, y - 9, "ink");
      },
    },
    {
      text: "may change",
      paint: (x, y) => paintSegment(sheet, { from: fs(0), to: fs(swatch), level: "may change" }, box(x, y)),
    },
    { text: "nothing drives", paint: (x, y) => sheet.line(x, y - 4.5, x + swatch, y - 4.5, "thin") },
    {
      text: "time available (above) and required (below)",
      paint: (x, y) => {
        const measure = {
          left: x,
          right: x + swatch,
          y: y - 4.5,
          label: "",
          labelLeft: x,
          beside: false,
          signed: false,
        };
        paintDimension(sheet, measure, "thin", "solid");
      },
    },
    {
      text: "margin",
      paint: (x, y) => sheet.rect({ x, y: y - 7.5, width: swatch, height: 6 }, "paper holds"),
    },
  ];
  let [x, y] = [plot.left, bottom + 16];
  sheet.line(plot.left, bottom, plot.right, bottom, "hairline");
  for (const { text, paint } of entries) {
    const width = swatch + 7 + textWidth(text, labelSize, "sans");
    if (x > plot.left && x + width > plot.right) [x, y] = [plot.left, y + 18];
    paint(x, y);
    sheet.text(x + swatch + 7, y, text, { class: "quiet" });
    x += width + 22;
  }
  return y + 14;
}
