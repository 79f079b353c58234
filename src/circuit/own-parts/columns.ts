import { inNs, parseHertz, parseTime } from "../../quantity/index.js";
import type { FileContext } from "../file-context.js";
import { quantity } from "../header.js";
import type { Path } from "../value.js";
import * as say from "./messages.js";
import { COLUMNS } from "./shape.js";

/** A figure as the file writes it. */
export interface Figure {
  /** In ns, or MHz for a clock frequency. */
  readonly value: number;
  readonly text: string;
  readonly path: Path;
  /** `25 C`, `-40 to 85 C`. */
  readonly column: string;
  /** `25`, `85`: as the catalogue names the column. */
  readonly name: string;
}

/** The least and the greatest figure that a chip can have, so that a slip of the unit is found. */
interface Span {
  readonly from: number;
  readonly to: number;
  readonly words: readonly [from: string, to: string];
}

export const DELAYS: Span = { from: 0, to: 10_000, words: ["0 ns", "10 us"] };
export const MAXIMA: Span = { from: 0.1, to: 10_000, words: ["0.1 ns", "10 us"] };
export const MARGINS: Span = { from: -1_000, to: 10_000, words: ["-1 us", "10 us"] };
export const CLOCKS: Span = { from: 0.01, to: 2_000, words: ["10 kHz", "2 GHz"] };

/** Reads a time to ns, or complains. */
export function readTime(text: string, path: Path, span: Span, context: FileContext): number | undefined {
  const time = quantity(context, path, text, parseTime);
  if (time === undefined) return undefined;
  const value = inNs(time);
  if (value >= span.from && value <= span.to) return value;
  return context.complain(path, say.unlikely(path, text, ...span.words));
}

/** Reads a frequency to MHz, or complains. */
export function readClock(text: string, path: Path, context: FileContext): number | undefined {
  const hertz = quantity(context, path, text, parseHertz);
  if (hertz === undefined) return undefined;
  const value = Number(hertz.numerator) / Number(hertz.denominator) / 1e6;
  if (value >= CLOCKS.from && value <= CLOCKS.to) return value;
  return context.complain(path, say.unlikely(path, text, ...CLOCKS.words));
}

/** The figures that stand in the columns, coolest first; `at` says where in its column a figure stands. */
export function readColumns(
  textOf: (column: (typeof COLUMNS)[number]["key"]) => string | undefined,
  at: (column: string) => Path,
  read: (text: string, path: Path) => number | undefined,
): readonly Figure[] {
  return COLUMNS.flatMap(({ key, name }) => {
    const text = textOf(key);
    if (text === undefined) return [];
    const path = at(key);
    const value = read(text, path);
    return value === undefined ? [] : [{ value, text, path, column: key, name }];
  });
}

/** Complains where a hotter column promises more than a cooler one: less delay or need, or more clock frequency. */
export function checkHeat(figures: readonly Figure[], better: "less" | "more", context: FileContext): void {
  figures.forEach((hot, index) => {
    const cool = figures[index - 1];
    if (!cool) return;
    const isBetter = better === "less" ? hot.value < cool.value : hot.value > cool.value;
    if (isBetter) context.complain(hot.path, say.hotterIsFaster(cool.column, cool.text, hot.column, hot.text));
  });
}

/** Complains of minima above the typical delay or a maximum, and of a typical delay above a maximum. */
export function checkOrder(
  minima: readonly Figure[],
  typical: Figure | undefined,
  maxima: readonly Figure[],
  context: FileContext,
): void {
  const least = lowest(maxima);
  const above = (lower: Figure, lowerName: string, upper: Figure | undefined, upperName: string) => {
    if (!upper || lower.value <= upper.value) return false;
    context.complain(lower.path, say.outOfOrder(lowerName, lower.text, upperName, upper.text));
    return true;
  };
  if (typical) above(typical, "typical delay", least, "maximum");
  for (const minimum of minima) {
    if (!above(minimum, "minimum", typical, "typical delay")) above(minimum, "minimum", least, "maximum");
  }
}

function lowest(figures: readonly Figure[]): Figure | undefined {
  const [first, ...rest] = figures;
  return first && rest.reduce((a, b) => (b.value < a.value ? b : a), first);
}

/** Figures as the cells of a catalogue's row: `max25`, `max85`. */
export function cellsOf<P extends "min" | "typ" | "max">(
  prefix: P,
  figures: readonly Figure[],
): Partial<Record<`${P}${string}`, number>> {
  return Object.fromEntries(figures.map(({ name, value }) => [`${prefix}${name}`, value])) as Partial<
    Record<`${P}${string}`, number>
  >;
}
