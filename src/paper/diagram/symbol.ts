import { textWidth } from "../text-width.js";
import { markOf, type PinMark, qualifierOf } from "./qualifier.js";
import type { Cell, Unit, UnitPin } from "./units.js";

/** Distance of pins, in px. */
export const pitch = 16;
export const pinSize = 9.5;
/** Room for the qualifying symbol above the first pin. */
const headHeight = 17;
/** The neck between a common control block and its cells. */
export const neck = 5;

/** A pin's place on an outline whose upper left corner is 0, 0. */
export interface PlacedPin {
  readonly pin: UnitPin;
  readonly mark: PinMark;
  readonly side: "left" | "right";
  readonly y: number;
}

/** The outline of a unit: one rectangle, or a common control block and below its neck a rectangle for each cell. */
export interface SymbolShape {
  readonly unit: Unit;
  readonly qualifier: string;
  readonly width: number;
  readonly height: number;
  /** Of the common control block, without its neck; absent without cells. */
  readonly controlHeight?: number;
  /** Upper edges of the cells. */
  readonly cells: readonly { readonly y: number; readonly height: number }[];
  /** On each side from the top down. */
  readonly pins: readonly PlacedPin[];
}

export function symbolOf(unit: Unit): SymbolShape {
  const qualifier = qualifierOf(unit);
  const nameWidth = (side: "left" | "right") =>
    Math.max(0, ...[unit.common, ...unit.cells].flatMap((cell) => cell[side].map((pin) => inside(unit, pin))));
  const middle = unit.cells.length > 0 ? 16 : 12;
  const width = Math.ceil(
    Math.max(46, textWidth(qualifier, 12, "sans") + 16, nameWidth("left") + nameWidth("right") + middle),
  );
  const head = qualifier === "" ? 6 : headHeight;
  const place = (pins: readonly UnitPin[], side: "left" | "right", top: number): PlacedPin[] =>
    pins.map((pin, row) => ({ pin, mark: markOf(unit, pin), side, y: top + (row + 0.5) * pitch }));
  const both = (cell: Cell, top: number) => [...place(cell.left, "left", top), ...place(cell.right, "right", top)];
  const rows = ({ left, right }: Cell) => Math.max(left.length, right.length);
  if (unit.cells.length === 0) {
    return {
      unit,
      qualifier,
      width,
      height: head + Math.max(1, rows(unit.common)) * pitch + 5,
      cells: [],
      pins: both(unit.common, head),
    };
  }
  const controlHeight = head + rows(unit.common) * pitch + 4;
  const pins = both(unit.common, head);
  const cells: { y: number; height: number }[] = [];
  let y = controlHeight + neck;
  for (const cell of unit.cells) {
    const height = rows(cell) * pitch + 2;
    pins.push(...both(cell, y + 1));
    cells.push({ y, height });
    y += height;
  }
  const sideOf = (side: "left" | "right") => pins.filter((pin) => pin.side === side);
  return { unit, qualifier, width, height: y, controlHeight, cells, pins: [...sideOf("left"), ...sideOf("right")] };
}

/** What a pin takes inside the outline: its name and the marks beside it. */
function inside(unit: Unit, pin: UnitPin): number {
  const { isDynamic, isThreeState, hasHysteresis } = markOf(unit, pin);
  return (
    textWidth(pin.name, pinSize, "mono") + 5 + (isDynamic ? 7 : 0) + (isThreeState ? 10 : 0) + (hasHysteresis ? 14 : 0)
  );
}
