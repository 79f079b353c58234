import { formatTime } from "../quantity/index.js";
import { type Markup, markup } from "./markup.js";
import type { RasterAxis, RasterView, Strip } from "./raster-view.js";
import { type Label, Sheet } from "./sheet.js";
import { spreadLabels } from "./spread-labels.js";
import { textWidth } from "./text-width.js";

/** What a page to print has room for, in px. Below the second the labels say only how many dots or lines, down to the third. */
const [usualWidth, wholeWidth, leastWidth] = [1150, 980, 520];
/** The frame's place. */
const frame = { left: 24, top: 104 };
/** Room for the labels beside the frame. */
const [besideWhole, besideBrief] = [406, 226];
const labelSize = 12;
const line = 15;

/**
 * One line and one frame to scale, from the begin of sync: the syncs hatched, the porches blank around the picture, each
 * with its dots or lines, its time, and its per cent of the standard. `picture` is the URI of an image to show in its place;
 * `width` is in px, and below 980 times and shares are left out; at least 520 are taken.
 */
export function drawRaster(
  view: RasterView,
  picture?: string,
  name = "raster",
  width = usualWidth,
): { svg: Markup; labels: readonly Label[] } {
  const sheet = new Sheet(name, Math.max(leastWidth, width));
  const shape = view.frame.total / view.line.total;
  const across = acrossOf(sheet);
  const height = across * Math.min(0.8, Math.max(0.5, shape));
  const x = places(view.line, frame.left, across);
  const y = places(view.frame, frame.top, height);

  paintFrame(sheet, x, y, picture);
  paintLineAbove(sheet, view.line, x);
  const bottom = paintFrameBeside(sheet, view.frame, y);
  paintTotal(sheet, view.line, frame.top + height + 18);

  const title = `One line and one frame, measured against ${view.standard}`;
  const svg = sheet.svg(Math.max(bottom, frame.top + height + 40), title, describeRaster(view));
  return { svg, labels: sheet.labels };
}

/** Where each strip of an axis begins and ends. */
interface Place {
  readonly strip: Strip;
  readonly from: number;
  readonly to: number;
}

function places({ strips, total }: RasterAxis, start: number, length: number): Place[] {
  let from = start;
  return strips.map((strip) => {
    const place = { strip, from, to: from + (strip.count / total) * length };
    from = place.to;
    return place;
  });
}

function isBrief({ width }: Sheet): boolean {
  return width < wholeWidth;
}

/** Width of the frame. */
function acrossOf(sheet: Sheet): number {
  return sheet.width - (isBrief(sheet) ? besideBrief : besideWhole);
}

function paintFrame(sheet: Sheet, x: readonly Place[], y: readonly Place[], picture: string | undefined): void {
  const [left, top] = [x[0]?.from ?? 0, y[0]?.from ?? 0];
  const [right, bottom] = [x.at(-1)?.to ?? 0, y.at(-1)?.to ?? 0];
  const across = x.find(({ strip }) => strip.name === "sync");
  const down = y.find(({ strip }) => strip.name === "sync");
  if (down) sheet.hatch(corners(left, down.from, right, down.to));
  if (across) sheet.hatch(corners(across.from, down?.to ?? top, across.to, bottom));
  for (const { to } of x) sheet.line(to, top, to, bottom, "grid");
  for (const { to } of y) sheet.line(left, to, right, to, "grid");
  sheet.rect({ x: left, y: top, width: right - left, height: bottom - top }, "ink");

  const [columns, rows] = [x, y].map((axis) => axis.find(({ strip }) => strip.name === "picture"));
  if (!columns || !rows) return;
  const box = { x: columns.from, y: rows.from, width: columns.to - columns.from, height: rows.to - rows.from };
  if (picture === undefined) {
    sheet.rect(box, "body");
    sheet.text(box.x + box.width / 2, box.y + box.height / 2, "picture", { anchor: "middle", size: labelSize });
    return;
  }
  const round = (value: number) => Number(value.toFixed(2));
  sheet.shape(
    markup`<image href="${picture}" x="${round(box.x)}" y="${round(box.y)}" width="${round(box.width)}" height="${round(box.height)}" preserveAspectRatio="none" image-rendering="pixelated"/>`,
  );
  sheet.rect(box, "ink");
}

function corners(left: number, top: number, right: number, bottom: number): [number, number][] {
  return [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
}

/** The sync net over one line, and above it the strips with their numbers. */
function paintLineAbove(sheet: Sheet, axis: RasterAxis, x: readonly Place[]): void {
  const [high, low] = [frame.top - 30, frame.top - 14];
  const sync = x[0];
  if (!sync) return;
  const [during, else_] = axis.sync === "low" ? [low, high] : [high, low];
  const right = x.at(-1)?.to ?? sync.to;
  sheet.path(
    [
      [sync.from, else_],
      [sync.from, during],
      [sync.to, during],
      [sync.to, else_],
      [right, else_],
    ],
    "ink",
  );

  const texts = x.map(({ strip }) => [strip.name, (isBrief(sheet) ? amount : numbers)(strip, axis.unit)] as const);
  const wanted = x.map(({ from, to }, i) => ({
    centre: (from + to) / 2,
    size: Math.max(...(texts[i] ?? []).map((text) => textWidth(text, labelSize, "sans"))) + 16,
  }));
  const begins = spreadLabels(wanted, 8, sheet.width - 8);
  x.forEach(({ from, to }, i) => {
    const begin = (begins[i] ?? 0) + 8;
    const middle = begin + ((wanted[i]?.size ?? 0) - 16) / 2;
    for (const edge of [from, to]) sheet.line(edge, high - 6, edge, frame.top, "hairline");
    sheet.path(
      [
        [(from + to) / 2, high - 6],
        [middle, high - 20],
      ],
      "thin",
    );
    sheet.line(from, high - 6, to, high - 6, "thin");
    const [name, detail] = texts[i] ?? ["", ""];
    sheet.text(middle, high - 24 - line, name, { anchor: "middle", size: labelSize });
    sheet.text(middle, high - 24, detail, { anchor: "middle", size: labelSize, class: "quiet" });
  });
}

/** The strips of a frame, on the right of it. Returns the height that they need. */
function paintFrameBeside(sheet: Sheet, axis: RasterAxis, y: readonly Place[]): number {
  const right = frame.left + acrossOf(sheet);
  const rows = y.map(({ strip, from, to }) => ({
    centre: (from + to) / 2,
    text: strip.name,
    detail: (isBrief(sheet) ? amount : numbers)(strip, axis.unit),
    from,
    to,
  }));
  const wanted = rows.map(({ centre }) => ({ centre, size: line * 2 + 8 }));
  const bottomOfFrame = y.at(-1)?.to ?? frame.top;
  const begins = spreadLabels(wanted, frame.top - 24, bottomOfFrame + 24);
  const labelLeft = right + 52;
  rows.forEach(({ centre, text, detail, from, to }, i) => {
    const begin = begins[i] ?? 0;
    const middle = begin + line + 2;
    for (const edge of [from, to]) sheet.line(right, edge, right + 14, edge, "hairline");
    sheet.line(right + 14, from, right + 14, to, "thin");
    sheet.path(
      [
        [right + 14, centre],
        [labelLeft - 6, middle],
      ],
      "thin",
    );
    sheet.text(labelLeft, begin + line - 2, text, { size: labelSize });
    sheet.text(labelLeft, begin + 2 * line - 2, detail, { size: labelSize, class: "quiet" });
  });
  const top = Math.max(bottomOfFrame + 18, (begins.at(-1) ?? 0) + line * 2 + 16);
  sheet.text(labelLeft, top, "frame", { size: labelSize });
  sheet.text(labelLeft, top + line, isBrief(sheet) ? briefTotal(axis) : total(axis), {
    size: labelSize,
    class: "quiet",
  });
  return top + line + 12;
}

function paintTotal(sheet: Sheet, axis: RasterAxis, y: number): void {
  const right = frame.left + acrossOf(sheet);
  const label = sheet.text((frame.left + right) / 2, y + 4, `line: ${total(axis)}`, {
    anchor: "middle",
    size: labelSize,
    class: "quiet",
  });
  for (const [from, to, end] of [
    [frame.left, label.x - 6, frame.left],
    [label.x + label.width + 6, right, right],
  ] as const) {
    sheet.line(from, y, to, y, "thin");
    sheet.line(end, y - 4, end, y + 4, "thin");
  }
}

function amount({ count }: Pick<Strip, "count">, unit: RasterAxis["unit"]): string {
  return `${short(count)} ${unit}`;
}

function briefTotal({ total: count, rateHz, unit }: RasterAxis): string {
  return `${amount({ count }, unit)}, ${rateText(rateHz)}`;
}

function numbers({ count, standard, time }: Strip, unit: RasterAxis["unit"]): string {
  return `${short(count)} ${unit}, ${formatTime(time)}, ${percent(count, standard)}`;
}

function total({ total: count, standardTotal, time, rateHz, unit }: RasterAxis): string {
  return `${short(count)} ${unit}, ${formatTime(time)}, ${percent(count, standardTotal)}, ${rateText(rateHz)}`;
}

function rateText(rateHz: number): string {
  return rateHz >= 1000 ? `${(rateHz / 1000).toFixed(3)} kHz` : `${rateHz.toFixed(2)} Hz`;
}

/** Whole where it is whole to a hundredth, else with two decimals. */
function short(value: number): string {
  return String(Number(value.toFixed(2)));
}

function percent(measured: number, standard: number): string {
  return standard === 0 ? "not in the standard" : `${((measured / standard) * 100).toFixed(1)} %`;
}

function describeRaster(view: RasterView): string {
  const said = ({ strips, unit }: RasterAxis) =>
    strips.map((strip) => `${strip.name} ${numbers(strip, unit)}`).join("; ");
  return `A line: ${said(view.line)}; in all ${total(view.line)}. A frame: ${said(view.frame)}; in all ${total(view.frame)}.`;
}
