import type { Markup } from "./markup.js";
import { Sheet } from "./sheet.js";

/** A point of a plot; the margin in nanoseconds. */
export interface PlotPoint {
  readonly at: number;
  readonly margin: number;
}

/** Margin against a quantity. */
export interface MarginCurve {
  /** Makes the drawing's ids unique on a page. */
  readonly name: string;
  /** `Margin against the oscillator's frequency` */
  readonly title: string;
  /** `MHz` */
  readonly unit: string;
  readonly now: number;
  readonly proved: readonly PlotPoint[];
  readonly line: readonly PlotPoint[];
}

/** The margin with one of several values. */
export interface MarginRow {
  readonly label: string;
  /** Absent where it is not known, for which `words` stand. */
  readonly margin?: number;
  readonly isLeast?: boolean;
  /** Something else fails than a margin. */
  readonly fails?: boolean;
  readonly words: string;
}

const [left, right, top, height, bottom] = [44, 14, 24, 130, 40];
const rowHeight = 22;

/**
 * Margin against a quantity: the line is what chains of delays leave, the circles are proofs; a thick rule stands at zero, a thin
 * one where the board is now. `width` in px.
 */
export function drawMarginCurve({ name, title, unit, now, proved, line }: MarginCurve, width: number): Markup {
  const sheet = new Sheet(name, width);
  const ats = line.map(({ at }) => at);
  const [from, to] = [Math.min(...ats), Math.max(...ats)];
  const margins = [0, ...line.map(({ margin }) => margin)];
  const scale = scaleOf(Math.min(...margins), Math.max(...margins));
  const x = (at: number) => left + ((at - from) / (to - from || 1)) * (width - left - right);
  const y = (margin: number) => top + ((scale.to - margin) / (scale.to - scale.from)) * height;
  for (const tick of scale.ticks) {
    sheet.line(left, y(tick), width - right, y(tick), tick === 0 ? "ink" : "grid");
    sheet.text(left - 6, y(tick) + 4, String(tick), { anchor: "end", face: "mono" });
  }
  sheet.text(6, 14, "margin, ns", { class: "quiet" });
  for (const tick of scaleOf(from, to, 4).ticks.filter((one) => one >= from && one <= to)) {
    sheet.line(x(tick), top + height, x(tick), top + height + 4, "thin");
    sheet.text(x(tick), top + height + 17, String(tick), { anchor: "middle", face: "mono" });
  }
  sheet.text(width - right, top + height + 33, unit, { anchor: "end", class: "quiet" });
  sheet.line(x(now), top, x(now), top + height, "thin dashed");
  sheet.text(x(now) + 4, top - 4, "now", { class: "quiet" });
  sheet.path(
    line.map(({ at, margin }) => [x(at), y(margin)] as const),
    "asks",
  );
  for (const { at, margin } of proved.filter((one) => one.at >= from && one.at <= to && one.margin >= scale.from)) {
    if (margin >= 0) sheet.circle(x(at), y(margin), 3.5, "body");
    else sheet.path(triangle(x(at), y(margin)), "fails-solid", true);
  }
  const told = proved.map(({ at, margin }) => `${round(at)} ${unit}: ${margin.toFixed(2)} ns`).join("; ");
  return sheet.svg(top + height + bottom, title, `The least margin as proved: ${told}.`);
}

/** Margins of several values, one below the other, on one scale; `≥` where a margin is that or more. `width` in px. */
export function drawMarginRows(
  { name, title, rows }: { readonly name: string; readonly title: string; readonly rows: readonly MarginRow[] },
  width: number,
): Markup {
  const sheet = new Sheet(name, width);
  const known = rows.flatMap(({ margin }) => margin ?? []);
  const scale = scaleOf(Math.min(0, ...known), Math.max(1, ...known));
  const start = 110;
  const x = (margin: number) => start + ((margin - scale.from) / (scale.to - scale.from)) * (width - start - 30);
  const end = top + rows.length * rowHeight;
  for (const tick of scale.ticks) {
    sheet.line(x(tick), top, x(tick), end, tick === 0 ? "ink" : "grid");
    sheet.text(x(tick), end + 15, String(tick), { anchor: "middle", face: "mono" });
  }
  sheet.text(x(scale.from), 14, "margin, ns", { class: "quiet" });
  rows.forEach(({ label, margin, isLeast, fails, words }, index) => {
    const y = top + (index + 0.5) * rowHeight;
    sheet.text(start - 8, y + 4, label, { anchor: "end", face: "mono" });
    if (margin === undefined) {
      sheet.text(x(Math.max(0, scale.from)) + 6, y + 4, words, { class: "quiet" });
      return;
    }
    if (isLeast) sheet.line(x(margin), y, x(margin) + 16, y, "asks");
    if (margin >= 0 && !fails) sheet.circle(x(margin), y, 3.5, "body");
    else sheet.path(triangle(x(margin), y), "fails-solid", true);
    if (fails) sheet.text(x(margin) + 9, y + 4, words, { class: "quiet" });
  });
  const told = rows.map(({ label, words }) => `${label}: ${words}`).join("; ");
  return sheet.svg(end + 24, title, `${told}.`);
}

function triangle(x: number, y: number): readonly (readonly [number, number])[] {
  return [
    [x, y - 4.5],
    [x + 4.5, y + 3.5],
    [x - 4.5, y + 3.5],
  ];
}

/** Round values from below the least to above the greatest, about so many. */
function scaleOf(least: number, greatest: number, about = 4) {
  const raw = (greatest - least || 1) / about;
  const decade = 10 ** Math.floor(Math.log10(raw));
  const step = decade * ([1, 2, 5, 10].find((one) => one * decade >= raw) ?? 10);
  const [from, to] = [Math.floor(least / step) * step, Math.ceil(greatest / step) * step];
  const ticks = Array.from({ length: Math.round((to - from) / step) + 1 }, (_, index) => round(from + index * step));
  return { from, to, ticks };
}

function round(value: number): number {
  return Number(value.toPrecision(6));
}
