import { markup } from "../markup.js";
import type { Sheet } from "../sheet.js";
import { type BusEnd, type End, type Frame, netSize, type SingleEnd, smallSize, startOf } from "./frame.js";
import { type ItemPin, legHeight } from "./items.js";
import type { Point } from "./layered-layout.js";
import { neck, pinSize, type SymbolShape } from "./symbol.js";

const circleRadius = 3;
/** Numbers of pins stand so far above their lines, and names of nets, which have room for an underscore. */
const [numberLift, nameLift] = [3, 5];

/** Paints a symbol with its text, the frame's upper left corner at a point. */
export function paintFrame(sheet: Sheet, frame: Frame, [x, y]: Point): void {
  const { item, outline, title, subtitle, notes } = frame;
  const [left, top] = [x + outline[0], y + outline[1]];
  if (item.symbol) paintOutline(sheet, item.symbol, left, top);
  else if (item.passive) paintPassive(sheet, item.passive.kind, left, top);
  paintTitle(sheet, title, subtitle, left + item.width / 2, y + 11);
  notes.forEach((line, i) =>
    sheet.text(x + frame.width / 2, top + item.height + 12 + i * 11.5, line, {
      anchor: "middle",
      size: smallSize,
      class: "quiet",
    }),
  );
  for (const end of frame.left) paintEnd(sheet, frame, end, left, top, -1, x);
  for (const end of frame.right) paintEnd(sheet, frame, end, left + item.width, top, 1, x + frame.width);
}

/** The name in heavy type and the part number behind it, both centred as one. */
function paintTitle(sheet: Sheet, ref: string, part: string, middle: number, y: number): void {
  const [refWidth, partWidth] = [ref.length * 11 * 0.61, part.length * smallSize * 0.64];
  const begin = middle - (refWidth + 6 + partWidth) / 2;
  sheet.text(begin, y, ref, { face: "mono", size: 11, class: "heavy" });
  sheet.text(begin + refWidth + 6, y, part, { face: "mono", size: smallSize, class: "quiet" });
}

function paintOutline(sheet: Sheet, symbol: SymbolShape, left: number, top: number): void {
  const { width, height, controlHeight, cells, qualifier, pins } = symbol;
  if (controlHeight === undefined) sheet.rect({ x: left, y: top, width, height }, "body");
  else {
    const [right, bottom, inset] = [left + width, top + controlHeight, 7];
    sheet.path(
      [
        [left + inset, bottom + neck],
        [left + inset, bottom],
        [left, bottom],
        [left, top],
        [right, top],
        [right, bottom],
        [right - inset, bottom],
        [right - inset, bottom + neck],
      ],
      "body",
    );
    for (const cell of cells) sheet.rect({ x: left, y: top + cell.y, width, height: cell.height }, "body");
  }
  if (qualifier !== "") sheet.text(left + width / 2, top + 13, qualifier, { anchor: "middle", size: 12 });
  for (const { pin, mark, side, y } of pins) {
    const direction = side === "left" ? 1 : -1;
    const edge = side === "left" ? left : left + width;
    let inwards = 4;
    if (mark.isDynamic) {
      sheet.path(wedge(edge, top + y, direction), "thin");
      inwards += 6;
    }
    if (mark.isThreeState) {
      const [at, middle] = [edge + direction * (inwards + 3.5), top + y];
      const triangle = [
        [at - 3.5, middle - 3],
        [at + 3.5, middle - 3],
        [at, middle + 3.5],
      ] as const;
      sheet.path(triangle, "thin", true);
      inwards += 9;
    }
    if (mark.hasHysteresis) {
      paintHysteresis(sheet, edge + direction * inwards, top + y, direction);
      inwards += 13;
    }
    sheet.text(edge + direction * inwards, top + y + 3.4, pin.name, {
      anchor: side === "left" ? "start" : "end",
      face: "mono",
      size: pinSize,
    });
  }
}

function wedge(edge: number, y: number, direction: number): Point[] {
  return [
    [edge, y - 4],
    [edge + direction * 7, y],
    [edge, y + 4],
  ];
}

/** The loop of a threshold input: two slanted steps. */
function paintHysteresis(sheet: Sheet, x: number, y: number, direction: number): void {
  const left = direction > 0 ? x : x - 12;
  sheet.path(
    [
      [left, y + 3],
      [left + 7, y + 3],
      [left + 9, y - 3],
    ],
    "thin",
  );
  sheet.path(
    [
      [left + 12, y - 3],
      [left + 5, y - 3],
      [left + 3, y + 3],
    ],
    "thin",
  );
}

/** A resistor's rectangle and a capacitor's plates (IEC 60617-4). */
function paintPassive(sheet: Sheet, kind: "resistor" | "capacitor", left: number, top: number): void {
  const y = top + legHeight;
  if (kind === "resistor") {
    sheet.line(left, y, left + 5, y, "ink");
    sheet.rect({ x: left + 5, y: y - 4.5, width: 24, height: 9 }, "body");
    sheet.line(left + 29, y, left + 34, y, "ink");
    return;
  }
  for (const [wire, plate] of [
    [left, left + 14.5],
    [left + 34, left + 19.5],
  ] as const) {
    sheet.line(wire, y, plate, y, "ink");
    sheet.line(plate, y - 8, plate, y + 8, "ink");
  }
}

/** One side's end: `edge` is the outline's, `border` the frame's, `direction` away from the outline. */
function paintEnd(sheet: Sheet, frame: Frame, end: End, edge: number, top: number, direction: -1 | 1, border: number) {
  if (end.kind === "bus") paintBus(sheet, frame, end, edge, top, direction, border);
  else paintSingle(sheet, frame, end, edge, top, direction, border);
}

function paintSingle(
  sheet: Sheet,
  { item }: Frame,
  { pin, name, reference, isJoined }: SingleEnd,
  edge: number,
  top: number,
  direction: -1 | 1,
  border: number,
): void {
  const y = top + pin.y;
  const anchor = direction > 0 ? ("start" as const) : ("end" as const);
  paintNumber(sheet, pin, edge, y, direction);
  const start = edge + direction * startOf(item);
  const quiet = pin.use.kind === "open" ? { class: "quiet" } : {};
  const box = sheet.text(start, y - nameLift, name, { anchor, face: "mono", size: netSize, ...quiet });
  let last = start + direction * box.width;
  if (reference !== "") {
    const words = { anchor, size: smallSize, class: "quiet" };
    last += direction * (6 + sheet.text(last + direction * 6, y - nameLift, reference, words).width);
  }
  // A rail ends at a bar, an open pin at its own end.
  const stop = isJoined ? border : pin.use.kind === "open" ? edge + direction * 12 : last;
  paintStub(sheet, item.ref, pin, edge, stop, y, direction);
  if (pin.use.kind === "rail") sheet.line(stop, y - 4, stop, y + 4, "ink");
}

function paintBus(
  sheet: Sheet,
  { item }: Frame,
  end: BusEnd,
  edge: number,
  top: number,
  direction: -1 | 1,
  border: number,
): void {
  const anchor = direction > 0 ? ("start" as const) : ("end" as const);
  const bar = edge + direction * end.bar;
  for (const [i, pin] of end.pins.entries()) {
    const y = top + pin.y;
    paintNumber(sheet, pin, edge, y, direction);
    const start = edge + direction * startOf(item);
    sheet.text(start, y - nameLift, end.nets[i] ?? "", { anchor, face: "mono", size: netSize });
    paintStub(sheet, item.ref, pin, edge, bar - direction * 5, y, direction);
    // The corner by which a wire goes into a bus, turned to where the bus leaves.
    const turn = pin.y > end.y ? -5 : 5;
    sheet.line(bar - direction * 5, y, bar, y + (pin.y === end.y ? 0 : turn), "thin");
  }
  const ys = end.pins.map((pin) => top + pin.y + (pin.y > end.y ? -5 : pin.y < end.y ? 5 : 0));
  sheet.line(bar, Math.min(...ys) - 1.2, bar, Math.max(...ys) + 1.2, "bus");
  const y = top + end.y;
  const slash = bar + direction * 9;
  sheet.line(slash - 3, y + 5, slash + 3, y - 5, "ink");
  const start = bar + direction * 20;
  const width = String(end.pins.length);
  sheet.text(slash, y + 13, width, { anchor: "middle", size: smallSize });
  const box = sheet.text(start, y - nameLift - 1, end.name, { anchor, face: "mono", size: netSize });
  let last = start + direction * box.width;
  if (end.reference !== "") {
    const words = { anchor, size: smallSize, class: "quiet" };
    last += direction * (6 + sheet.text(last + direction * 6, y - nameLift - 1, end.reference, words).width);
  }
  sheet.line(bar, y, end.isJoined ? border : last, y, "bus");
}

function paintNumber(sheet: Sheet, { number, mark }: ItemPin, edge: number, y: number, direction: -1 | 1): void {
  if (number === undefined) return;
  const away = mark?.isNegated ? 2 * circleRadius + 1 : 3;
  sheet.text(edge + direction * away, y - numberLift, String(number), {
    anchor: direction > 0 ? "start" : "end",
    size: 8,
    face: "mono",
    class: "quiet",
  });
}

/** The line at a pin, which knows its pin and net for whoever looks for them in the drawing. */
function paintStub(
  sheet: Sheet,
  ref: string,
  { number, mark, use }: ItemPin,
  edge: number,
  stop: number,
  y: number,
  direction: -1 | 1,
): void {
  const begin = mark?.isNegated ? edge + direction * 2 * circleRadius : edge;
  if (mark?.isNegated) sheet.circle(edge + direction * circleRadius, y, circleRadius, "body");
  const net = use.kind === "open" ? "open" : use.name;
  const pin = number === undefined ? ref : `${ref} ${number}`;
  const at = (value: number) => Number(value.toFixed(2));
  sheet.shape(markup`<path class="thin" data-pin="${pin}" data-net="${net}" d="M${at(begin)} ${at(y)}H${at(stop)}"/>`);
}
