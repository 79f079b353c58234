import type { Circuit } from "../../circuit/index.js";
import type { Block } from "./blocks.js";
import { type Frame, frameOf } from "./frame.js";
import { chipItems, type Item, passiveItem } from "./items.js";
import { joinsOf } from "./joins.js";
import { type Layout, layered } from "./layered-layout.js";
import { NetEnds } from "./net-ends.js";
import { sheetSize } from "./sheet-size.js";

const spacing = { aspect: sheetSize.width / sheetSize.height, boxes: 16, columns: 26 };
/** Blocks share a sheet up to this part of its area; symbols, lines and the room between them need the rest. */
const filled = 0.62;
/** More than this of a sheet's area is never covered by symbols: lines need their room. */
const mostFilled = 0.72;
/** So little fits whatever its lines do: a row of symbols is never longer than the sheet. */
const surelyFits = 0.2;
/** A drawing may be printed so much smaller than the sheet's size asks for, rather than be cut. */
const tolerance = 1.15;

/** Symbols that stand on one sheet. */
export interface PlannedSheet {
  /** Of the blocks on it: `Columns 0 to 49`, or `Decoding, 1 of 2`. */
  readonly titles: readonly string[];
  readonly items: readonly Item[];
}

export interface LaidOutSheet extends PlannedSheet {
  readonly number: number;
  readonly frames: readonly Frame[];
  readonly joins: ReturnType<typeof joinsOf>;
  readonly layout: Layout;
}

/** One block after the other onto sheets: small neighbours share one, one that is too large goes on several. */
export async function planSheets(circuit: Circuit, blocks: readonly Block[]): Promise<LaidOutSheet[]> {
  const whole = blocks.map(({ title, chips, passives }) => ({
    titles: [title],
    items: [
      ...chips.flatMap((chip) => chipItems(circuit, chip)),
      ...passives.map((passive) => passiveItem(circuit, passive)),
    ],
  }));
  const pieces: PlannedSheet[] = [];
  for (const block of whole) pieces.push(...(await inPieces(circuit, block, whole)));
  const sheets: PlannedSheet[] = [];
  for (const piece of pieces) {
    const before = sheets.at(-1);
    const both = before && { titles: [...before.titles, ...piece.titles], items: [...before.items, ...piece.items] };
    const isRoomy = both && areaOf(circuit, both.items) < filled * sheetSize.width * sheetSize.height;
    if (both && isRoomy && (await fits(circuit, both, whole))) sheets.splice(-1, 1, both);
    else sheets.push(piece);
  }
  const ends = new NetEnds(
    circuit,
    sheets.map(({ items }) => items),
  );
  const laidOut: LaidOutSheet[] = [];
  for (const [i, sheet] of sheets.entries())
    laidOut.push({ ...sheet, number: i + 1, ...(await layOut(sheet, i + 1, ends)) });
  return laidOut;
}

/** A block as it is where it fits a sheet, else in as many parts as its area asks for, and those halved that still do not fit. */
async function inPieces(circuit: Circuit, block: PlannedSheet, all: readonly PlannedSheet[]): Promise<PlannedSheet[]> {
  const parts: (readonly Item[])[] = [];
  const cut = async (items: readonly Item[], least: number): Promise<void> => {
    const wanted = Math.max(
      least,
      Math.ceil(areaOf(circuit, items) / (mostFilled * sheetSize.width * sheetSize.height)),
    );
    const pieces = wanted > 1 ? evenParts(items, wanted) : [items];
    for (const piece of pieces) {
      if (evenParts(piece, 2).length === 1 || (await fits(circuit, { titles: [], items: piece }, all)))
        parts.push(piece);
      else await cut(piece, 2);
    }
  };
  await cut(block.items, 1);
  return parts.map((items, i) => ({
    titles: block.titles.map((title) => (parts.length > 1 ? `${title}, ${i + 1} of ${parts.length}` : title)),
    items,
  }));
}

/** Parts of about the same area, cut where one chip ends and the next begins. */
function evenParts(items: readonly Item[], count: number): (readonly Item[])[] {
  const area = ({ width, height }: Item) => (width + 120) * (height + 20);
  const total = items.reduce((sum, item) => sum + area(item), 0);
  const parts: Item[][] = [];
  let done = 0;
  for (const [i, item] of items.entries()) {
    const current = parts.at(-1);
    const isDue = done >= (parts.length / count) * total && items[i - 1]?.ref !== item.ref;
    if (current && !isDue) current.push(item);
    else parts.push([item]);
    done += area(item);
  }
  return parts;
}

/** With references as long as they can get: as if every other block were on a sheet of its own. */
async function fits(circuit: Circuit, piece: PlannedSheet, all: readonly PlannedSheet[]): Promise<boolean> {
  if (areaOf(circuit, piece.items) < surelyFits * sheetSize.width * sheetSize.height) return true;
  const own = new Set(piece.items.map(({ key }) => key));
  const others = all.map(({ items }) => items.filter(({ key }) => !own.has(key))).filter((items) => items.length > 0);
  const { layout } = await layOut(piece, 1, new NetEnds(circuit, [piece.items, ...others]));
  return isOnSheet(layout);
}

function isOnSheet({ width, height }: Layout): boolean {
  return width <= tolerance * sheetSize.width && height <= tolerance * sheetSize.height;
}

function areaOf(circuit: Circuit, items: readonly Item[]): number {
  const ends = new NetEnds(circuit, [items]);
  return items
    .map((item) => frameOf(item, 1, ends))
    .reduce((sum, { width, height }) => sum + (width + 30) * (height + 14), 0);
}

async function layOut({ items }: PlannedSheet, number: number, ends: NetEnds) {
  const frames = items.map((item) => frameOf(item, number, ends));
  const joins = joinsOf(frames, number, ends);
  const boxes = frames.map(({ item, width, height, ports }) => ({ id: item.key, width, height, ports }));
  const plain = await layered(boxes, joins, spacing);
  if (isOnSheet(plain)) return { frames, joins, layout: plain };
  // Long chains, such as counters that carry into each other, go on in a second row.
  const wrapped = await layered(boxes, joins, { ...spacing, wraps: true });
  const shrinking = ({ width, height }: Layout) => Math.max(width / sheetSize.width, height / sheetSize.height);
  return { frames, joins, layout: shrinking(wrapped) < shrinking(plain) ? wrapped : plain };
}
