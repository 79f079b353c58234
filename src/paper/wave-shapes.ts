import type { LaneEdge, LaneLevel, LaneSegment } from "./cycle-drawing.js";
import type { Sheet } from "./sheet.js";

/** Where a lane's wave stands on the sheet, in px. `x` turns a time into a place. */
export interface WavePlace {
  readonly top: number;
  readonly bottom: number;
  readonly x: (time: number) => number;
}

/** Width of a slanted line, in px, where the time between earliest and latest leaves room for it. */
const slant = 4;

type Point = readonly [number, number];

/** Paints what holds for a while: one line, two lines where only steadiness is known, hatching, or a thin middle line. */
export function paintSegment(sheet: Sheet, { from, to, level }: LaneSegment, place: WavePlace): void {
  const [left, right] = [place.x(from), place.x(to)];
  if (right <= left) return;
  if (level === "may change") {
    sheet.hatch([
      [left, place.top],
      [right, place.top],
      [right, place.bottom],
      [left, place.bottom],
    ]);
  }
  for (const y of heights(level, place)) sheet.line(left, y, right, y, level === "z" ? "thin" : "ink");
}

/**
 * Paints a transition: a slanted line at its earliest, one at its latest, hatching between them. Whatever is closer than a
 * slant is wide becomes a single line.
 */
export function paintEdge(sheet: Sheet, { earliest, latest, from, to }: LaneEdge, place: WavePlace): void {
  const [before, after] = [heights(from, place), heights(to, place)];
  const exact = { left: place.x(earliest), right: place.x(latest) };
  const middle = (exact.left + exact.right) / 2;
  const { left, right } =
    exact.right - exact.left >= slant / 2 ? exact : { left: middle - slant / 4, right: middle + slant / 4 };
  const run = Math.min(slant, right - left);

  if (before.length === 2 && after.length === 2) {
    // Where unsettled time begins or ends at once, the hatching of the segment beside it needs one closing shape only.
    const isInstant = exact.right - exact.left < slant / 2;
    if (isInstant && from === "may change") paintOpening(sheet, exact.right, slant, place);
    else if (isInstant && to === "may change") paintClosing(sheet, exact.left, slant, place);
    else paintCrossing(sheet, left, right, run, place);
    return;
  }
  for (const y1 of before) {
    for (const y2 of after) {
      if (y1 === y2) {
        sheet.line(left, y1, right, y1, "ink");
        continue;
      }
      const early: [Point, Point] = [
        [left, y1],
        [left + run, y2],
      ];
      const late: [Point, Point] = [
        [right - run, y1],
        [right, y2],
      ];
      if (right - left > run) {
        sheet.hatch([early[0], early[1], late[1], late[0]]);
        for (const [y, x1, x2] of [
          [y2, early[1][0], right],
          [y1, left, late[0][0]],
        ] as const) {
          if (y === place.top || y === place.bottom) sheet.line(x1, y, x2, y, "thin");
        }
        sheet.path(early, "ink");
      }
      sheet.path(late, "ink");
    }
  }
}

/** A bus that changes: its lines close at the earliest moment and open again at the latest. */
function paintCrossing(sheet: Sheet, left: number, right: number, run: number, place: WavePlace): void {
  const half = Math.min(run, (right - left) / 2);
  const { top, bottom } = place;
  if (right - left > 2 * half) {
    sheet.hatch([...closing(left, half, place), ...opening(right, half, place)]);
    sheet.line(left, top, right, top, "thin");
    sheet.line(left, bottom, right, bottom, "thin");
  }
  paintClosing(sheet, left, half, place);
  paintOpening(sheet, right, half, place);
}

function paintClosing(sheet: Sheet, left: number, half: number, place: WavePlace): void {
  sheet.path(closing(left, half, place), "ink");
}

function paintOpening(sheet: Sheet, right: number, half: number, place: WavePlace): void {
  sheet.path(opening(right, half, place), "ink");
}

function closing(left: number, half: number, { top, bottom }: WavePlace): Point[] {
  return [
    [left, top],
    [left + half, (top + bottom) / 2],
    [left, bottom],
  ];
}

function opening(right: number, half: number, { top, bottom }: WavePlace): Point[] {
  return [
    [right, bottom],
    [right - half, (top + bottom) / 2],
    [right, top],
  ];
}

function heights(level: LaneLevel, { top, bottom }: WavePlace): number[] {
  switch (level) {
    case 0:
      return [bottom];
    case 1:
      return [top];
    case "z":
      return [(top + bottom) / 2];
    case "steady":
    case "may change":
      return [top, bottom];
  }
}
