import type { ScreenMap, NetDots } from "../mapping/screen-map.js";

/** One character of the screen: the word of a RAM that chooses it, and where its dots are. */
export interface Cell {
  /** Number of bit 0 of its word, among all RAM bits. */
  readonly first: number;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** The characters of a screen whose dots come out of a ROM. */
export interface CellGrid {
  readonly columns: number;
  readonly rows: number;
  /** Row by row. */
  readonly cells: readonly Cell[];
  /** Dots of a whole cell. */
  readonly width: number;
  readonly height: number;
  /** Bits of a word that choose the character, the least first, and one that turns its dots over where there is one. */
  readonly codeBits: readonly number[];
  readonly inverseBit?: number;
}

/** The characters of a screen; undefined where its dots do not come out of a ROM that a RAM addresses. */
export function cellsOf({ nets, rams, width, height }: ScreenMap): CellGrid | undefined {
  const net = nets.find(({ lines }) => lines.length > 0);
  const wordBits = rams[0]?.width ?? 8;
  if (!net) return undefined;
  const boxes = new Map<number, { left: number; top: number; right: number; bottom: number }>();
  for (let dot = 0; dot < width * height; dot++) {
    const word = wordAt(net, dot, wordBits);
    if (word < 0) continue;
    const [x, y] = [dot % width, Math.floor(dot / width)];
    const box = boxes.get(word);
    if (!box) boxes.set(word, { left: x, top: y, right: x, bottom: y });
    else {
      box.left = Math.min(box.left, x);
      box.right = Math.max(box.right, x);
      box.bottom = y;
    }
  }
  const cells = [...boxes].map(([word, { left, top, right, bottom }]): Cell => {
    return { first: word * wordBits, left, top, width: right - left + 1, height: bottom - top + 1 };
  });
  cells.sort((one, other) => one.top - other.top || one.left - other.left);
  const rows = new Set(cells.map(({ top }) => top)).size;
  const columns = rows === 0 ? 0 : cells.length / rows;
  const [first] = cells;
  if (!first || !Number.isInteger(columns)) return undefined;
  const dot = first.top * width + first.left;
  const inverse = net.ram[dot] as number;
  return {
    columns,
    rows,
    cells,
    width: Math.max(...cells.map((cell) => cell.width)),
    height: Math.max(...cells.map((cell) => cell.height)),
    codeBits: codeBitsOf(net, dot, wordBits),
    ...(inverse >= first.first && inverse < first.first + wordBits && { inverseBit: inverse - first.first }),
  };
}

function wordAt({ lines }: NetDots, dot: number, wordBits: number): number {
  for (const { ram } of lines) {
    const number = ram[dot] as number;
    if (number >= 0) return Math.floor(number / wordBits);
  }
  return -1;
}

/** Bits of the word on the ROM's address lines, from the lowest line on: that is how characters are counted in the ROM. */
function codeBitsOf({ lines }: NetDots, dot: number, wordBits: number): readonly number[] {
  return [...lines]
    .sort((one, other) => one.line - other.line)
    .flatMap(({ ram }) => ((ram[dot] as number) >= 0 ? [(ram[dot] as number) % wordBits] : []))
    .sort((one, other) => one - other);
}

/** The value of a word that shows a code, turned over or not. */
export function wordFor({ codeBits, inverseBit }: CellGrid, code: number, isInverse = false): number {
  const word = codeBits.reduce((sum, bit, at) => sum | (((code >> at) & 1) << bit), 0);
  return isInverse && inverseBit !== undefined ? word | (1 << inverseBit) : word;
}
