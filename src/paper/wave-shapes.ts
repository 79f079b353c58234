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
    paintCrossing(sheet, left, right, run, place);
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
function paintCrossing(sheet: Sheet, left: number, right: number, run: number, { top, bottom }: WavePlace): void {
  const middle = (top + bottom) / 2;
  const half = Math.min(run, (right - left) / 2);
  const closing: Point[] = [
    [left, top],
    [left + half, middle],
    [left, bottom],
  ];
  const opening: Point[] = [
    [right, bottom],
    [right - half, middle],
    [right, top],
  ];
  if (right - left > 2 * half) {
    sheet.hatch([...closing, ...opening]);
    sheet.line(left, top, right, top, "thin");
    sheet.line(left, bottom, right, bottom, "thin");
  }
  sheet.path(closing, "ink");
  sheet.path(opening, "ink");
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
