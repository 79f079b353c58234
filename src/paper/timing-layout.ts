import { formatTime, type Fs } from "../quantity/index.js";
import type { Bracket, CycleDrawing, Lane, PathStep } from "./cycle-drawing.js";
import { centredWithin, type Extent, packRows } from "./row-packing.js";
import { type Face, fitText, textWidth } from "./text-width.js";

/** A measure with its place: the stretch along the lane, the height of its line, the label above that line. */
export interface PlacedMeasure {
  readonly left: number;
  readonly right: number;
  readonly y: number;
  readonly label: string;
  /** Where the label begins. */
  readonly labelLeft: number;
  /** The label stands beside the line and not above it. */
  readonly beside: boolean;
  /** Room for the sign of the state in front of the label. */
  readonly signed: boolean;
}

export interface PlacedLane {
  readonly lane: Lane;
  /** Of the wave. */
  readonly top: number;
  readonly bottom: number;
  readonly brackets: readonly (PlacedMeasure & { readonly bracket: Bracket })[];
  readonly path: readonly (PlacedMeasure & { readonly step: PathStep })[];
}

export interface TimingLayout {
  /** The stretch of the sheet on which time runs. */
  readonly plot: Extent;
  readonly x: (time: number) => number;
  readonly lanes: readonly PlacedLane[];
  /** Height of the ruler's base line. */
  readonly ruler: number;
  /** Below the last lane. */
  readonly bottom: number;
}

/** Nets are set in the monospace, owners are words. */
export function nameFace(kind: Lane["kind"]): Face {
  return kind === "owner" ? "sans" : "mono";
}

export const labelSize = 11;
export const nameSize = 12;
/** Height of one row of measures: a label and the line under it. */
const rowHeight = 22;
const waveHeight = 24;
const laneGap = 14;
const rulerTop = 40;
/** Length of a line, in px, below which its arrowheads stand outside and point inwards. */
export const leastDimension = 14;
/** Beside a line: room for an arrowhead that points inwards. */
const headRoom = 12;
/** Width of the sign before a margin's number. */
export const signWidth = 13;

/**
 * Where everything goes. Above each wave stand the steps of the chain (nearest) and the available times, below it the
 * required times and the margins, each in as many rows as it takes for no label to touch another.
 */
export function layOutTiming(drawing: CycleDrawing, width: number): TimingLayout {
  const names = Math.max(64, ...drawing.lanes.map(({ name, kind }) => textWidth(name, nameSize, nameFace(kind))));
  const plot = { left: Math.min(names, width / 4) + 18, right: width - 30 };
  const scale = (plot.right - plot.left) / Math.max(1, drawing.span);
  const x = (time: number) => plot.left + Math.max(0, Math.min(time, drawing.span)) * scale;

  let y = rulerTop + 4;
  const lanes = drawing.lanes.map((lane): PlacedLane => {
    const mine = drawing.brackets.filter((bracket) => bracket.lane === lane.name);
    const steps = (drawing.path ?? []).filter(({ toLane }) => toLane === lane.name);
    const above = mine.filter(({ kind }) => kind === "available");
    const below = mine.filter(({ kind }) => kind !== "available");
    const upper = place([...steps, ...above], x, plot);
    const lower = place(below, x, plot);
    const upperRows = rowCount(upper);
    const top = y + laneGap + upperRows * rowHeight;
    const bottom = top + waveHeight;
    y = bottom + rowCount(lower) * rowHeight;
    const at = ({ row, ...measure }: RowedMeasure, base: number, direction: 1 | -1): PlacedMeasure => ({
      ...measure,
      y: direction < 0 ? base - 6 - row * rowHeight : base + (row + 1) * rowHeight - 2,
    });
    const placedAbove = upper.map((measure) => at(measure, top, -1));
    const placedBelow = lower.map((measure) => at(measure, bottom, 1));
    return {
      lane,
      top,
      bottom,
      path: steps.flatMap((step, i) => withMeasure(placedAbove[i], { step })),
      brackets: [
        ...above.flatMap((bracket, i) => withMeasure(placedAbove[steps.length + i], { bracket })),
        ...below.flatMap((bracket, i) => withMeasure(placedBelow[i], { bracket })),
      ],
    };
  });
  return { plot, x, lanes, ruler: rulerTop, bottom: y + laneGap };
}

function withMeasure<T>(measure: PlacedMeasure | undefined, what: T): (PlacedMeasure & T)[] {
  return measure ? [{ ...measure, ...what }] : [];
}

type RowedMeasure = Omit<PlacedMeasure, "y"> & { readonly row: number };

function place(items: readonly (Bracket | PathStep)[], x: (time: number) => number, plot: Extent): RowedMeasure[] {
  const measures = items.map((item) => {
    const left = x(Math.min(item.from, item.to));
    const right = x(Math.max(item.from, item.to));
    const signed = "kind" in item && item.kind === "margin";
    const label = fitText(item.label, plot.right - plot.left - 60, labelSize, "sans");
    const labelWidth = textWidth(label, labelSize, "sans") + (signed ? signWidth : 0);
    return { left, right, label, signed, ...labelPlace({ left, right }, labelWidth, plot, !("kind" in item)) };
  });
  const rows = packRows(measures.map(({ reach }) => reach));
  return measures.map((measure, i) => ({ ...measure, row: rows[i] ?? 0 }));
}

/**
 * A label stands above its line where the line is long enough, else beside it, right or left. A step's label begins at the
 * step's begin, for there is a line up or down at it.
 */
function labelPlace(
  { left, right }: Extent,
  width: number,
  plot: Extent,
  isStep: boolean,
): { labelLeft: number; beside: boolean; reach: Extent } {
  if (isStep) {
    const label = centredWithin(left + 5 + width / 2, width, plot);
    return {
      labelLeft: label.left,
      beside: false,
      reach: { left: Math.min(left, label.left) - 3, right: Math.max(right, label.right) + 3 },
    };
  }
  // A line too short for its arrowheads has them outside; lines that merely touch may share a row.
  const slimRoom = right - left < leastDimension ? headRoom : 0;
  if (right - left >= width + 6) {
    return { labelLeft: (left + right - width) / 2, beside: false, reach: { left, right } };
  }
  if (right + headRoom + width <= plot.right) {
    const labelLeft = right + headRoom;
    return { labelLeft, beside: true, reach: { left: left - slimRoom, right: labelLeft + width + 6 } };
  }
  const labelLeft = Math.max(plot.left, left - headRoom - width);
  return { labelLeft, beside: true, reach: { left: labelLeft - 6, right: right + slimRoom } };
}

function rowCount(measures: readonly RowedMeasure[]): number {
  return Math.max(-1, ...measures.map(({ row }) => row)) + 1;
}

/** A mark on the ruler. */
export interface RulerMark {
  readonly time: number;
  readonly text: string;
}

/** Round times along the span, as many as their labels have room for. */
export function rulerTimes(span: Fs, plotWidth: number): RulerMark[] {
  const most = Math.max(2, Math.floor(plotWidth / 90));
  const least = span / most;
  const power = 10 ** Math.floor(Math.log10(Math.max(1, least)));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((size) => size >= least) ?? 10 * power;
  const marks: RulerMark[] = [];
  for (let i = 0; i * step <= span; i++) marks.push({ time: i * step, text: formatTime((i * step) as Fs) });
  return marks;
}
