import type { Displacement, Scan, ScanLine } from "./scan.js";
import { type Waveform, forEachHigh } from "./waveform.js";

/** A stretch of light on one line. */
export interface Streak {
  readonly line: ScanLine;
  /** Where it begins and ends, in dots from the left edge of the active area, fractions included. */
  readonly left: number;
  readonly right: number;
}

/** Calls `visit` with every stretch in which a net is high, line by line, cut where a line ends. */
export function forEachStreak(scan: Scan, nets: readonly Waveform[], visit: (streak: Streak) => void): void {
  const { dotFs, firstDot, lines } = scan;
  for (const net of nets) {
    lines.forEach((line) => {
      const endFs = line.startFs + dotFs * scan.raster.h.total;
      forEachHigh(net, line.startFs, endFs, (from, to) => {
        const left = (from - line.startFs) / dotFs - firstDot;
        const right = (to - line.startFs) / dotFs - firstDot;
        visit({ line, left, right });
      });
    });
  }
}

/** The smallest rectangle that holds all light, in dots and rows from the top left of the active area. */
export interface LitArea {
  readonly left: number;
  /** One past the last lit dot. */
  readonly right: number;
  readonly top: number;
  /** One past the last lit row. */
  readonly bottom: number;
}

/** Light narrower than this, in dots, does not make an edge of the picture. Our own choice. */
const LEAST_STREAK = 0.25;

/** Where there is light at all; undefined when the picture is dark. Streaks narrower than a quarter dot do not count. */
export function findLitArea(scan: Scan, nets: readonly Waveform[]): LitArea | undefined {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  forEachStreak(scan, nets, (streak) => {
    if (streak.right - streak.left < LEAST_STREAK) return;
    left = Math.min(left, streak.left);
    right = Math.max(right, streak.right);
    top = Math.min(top, streak.line.row);
    bottom = Math.max(bottom, streak.line.row + 1);
  });
  return left < right ? { left, right, top, bottom } : undefined;
}

/** A part of the raster that should be black. */
export type DarkPart = "front porch" | "sync" | "back porch" | "border" | "vertical blanking";

/** Light where the raster wants none. */
export interface StrayLight {
  readonly part: DarkPart;
  /** How many lines have some. */
  readonly lines: number;
  /** The first streak: row of the raster, dots from the left of the active area, width in dots. */
  readonly first: { readonly row: number; readonly dot: number; readonly width: number };
  /** The widest streak, in dots. */
  readonly widest: number;
}

/** Light may reach this far over the edge of the active area, in dots: the delay between sync and video. Our own choice. */
const EDGE_SLACK = 0.5;
/** Narrower light is rounding, not light. In dots. */
const NO_LIGHT = 0.01;

/**
 * Light outside the active area, part by part, after the picture has been moved back by `displacement`. The back porch counts
 * most: a monitor takes its black level there.
 */
export function findStrayLight(scan: Scan, nets: readonly Waveform[], displacement: Displacement): StrayLight[] {
  const found = new Map<DarkPart, { rows: Set<number>; first: StrayLight["first"]; widest: number }>();
  forEachStreak(scan, nets, ({ line, left, right }) => {
    const row = line.row - displacement.rows;
    for (const { part, from, to } of darkParts(scan, row)) {
      const dot = Math.max(left - displacement.dots, from);
      const width = Math.min(right - displacement.dots, to) - dot;
      if (width < NO_LIGHT) continue;
      const entry = found.get(part);
      if (entry) {
        entry.rows.add(row);
        entry.widest = Math.max(entry.widest, width);
      } else {
        found.set(part, { rows: new Set([row]), first: { row, dot, width }, widest: width });
      }
    }
  });
  return [...found].map(([part, { rows, first, widest }]) => ({ part, lines: rows.size, first, widest }));
}

/** The dark parts of a line in order, in dots from the left of the active area. A line starts with its sync pulse. */
function darkParts({ raster, firstDot }: Scan, row: number): readonly { part: DarkPart; from: number; to: number }[] {
  const { h, v } = raster;
  const start = -firstDot;
  const end = h.total - firstDot;
  const isActive = row >= 0 && row < v.active;
  const isBorder = row >= -v.borderEachSide && row < v.active + v.borderEachSide;
  if (!isBorder) return [{ part: "vertical blanking", from: start, to: end }];

  const leftBorder = -h.borderEachSide;
  const rightBorder = h.active + h.borderEachSide;
  const sides: { part: DarkPart; from: number; to: number }[] = [
    { part: "sync", from: start, to: start + h.sync },
    { part: "back porch", from: start + h.sync, to: leftBorder },
    { part: "front porch", from: rightBorder, to: end },
  ];
  if (!isActive) return [...sides, { part: "border", from: leftBorder, to: rightBorder }];
  if (h.borderEachSide === 0) return sides.map((side) => keepClear(side, 0, h.active));
  return [
    ...sides,
    keepClear({ part: "border", from: leftBorder, to: 0 }, 0, h.active),
    keepClear({ part: "border", from: h.active, to: rightBorder }, 0, h.active),
  ];
}

/** Takes the slack at the edges of the active area off a part that touches it. */
function keepClear<P extends { from: number; to: number }>(part: P, left: number, right: number): P {
  return {
    ...part,
    to: part.to === left ? part.to - EDGE_SLACK : part.to,
    from: part.from === right ? part.from + EDGE_SLACK : part.from,
  };
}
