import { bitsOf, type Contents } from "../mapping/bit-numbers.js";
import { type ScreenMap, romBitAt } from "../mapping/screen-map.js";
import { type Cell, type CellGrid, wordFor } from "./cells.js";
import type { WrittenDots } from "./write-dots.js";

/**
 * Draws a picture with the characters that the generator has: each cell shows the character, turned over where the circuit can
 * do that, in which the fewest dots differ. Cells of which nothing is wanted stay as they are.
 */
export function drawWithCells(
  map: ScreenMap,
  grid: CellGrid,
  values: Int32Array,
  roms: Contents,
  ram: Uint8Array,
): WrittenDots {
  const rom = bitsOf(map.roms, roms);
  const glyphs = new Map<string, readonly { readonly word: number; readonly dots: Int32Array }[]>();
  let unlike = 0;
  for (const cell of grid.cells) {
    const wanted = cut(values, map.width, cell);
    if (wanted.every((value) => value < 0)) continue;
    const corner = cell.top * map.width + cell.left;
    const kind = `${map.nets.map((net) => net.rom[corner]).join(" ")} ${cell.width} ${cell.height}`;
    const known = glyphs.get(kind) ?? charactersOf(map, grid, cell, rom);
    glyphs.set(kind, known);
    let [best, least] = [0, Infinity];
    for (const { word, dots } of known) {
      let differ = 0;
      for (let at = 0; at < dots.length && differ < least; at++) {
        if ((wanted[at] as number) >= 0 && wanted[at] !== dots[at]) differ++;
      }
      if (differ < least) [best, least] = [word, differ];
    }
    for (let bit = 0; bit < 8; bit++) ram[cell.first + bit] = (best >> bit) & 1;
    unlike += least;
  }
  return { unlike };
}

/** Values of a cell's dots for every word that it can hold. */
function charactersOf(map: ScreenMap, grid: CellGrid, cell: Cell, rom: Uint8Array) {
  const codes = 2 ** grid.codeBits.length;
  const words = Array.from({ length: codes }, (_, code) => wordFor(grid, code));
  if (grid.inverseBit !== undefined) words.push(...words.map((word) => word | (1 << (grid.inverseBit ?? 0))));
  const ram = new Uint8Array(cell.first + 8);
  return words.map((word) => {
    for (let bit = 0; bit < 8; bit++) ram[cell.first + bit] = (word >> bit) & 1;
    const dots = Int32Array.from({ length: cell.width * cell.height }, (_, at) => {
      const dot = (cell.top + Math.floor(at / cell.width)) * map.width + cell.left + (at % cell.width);
      return map.nets.reduce((value, net) => {
        const number = romBitAt(map, net, dot, ram);
        const direct = net.ram[dot] as number;
        const turns = (number < 0 ? 0 : (rom[number] ?? 0)) ^ (direct < 0 ? 0 : (ram[direct] ?? 0));
        return 2 * value + ((net.level[dot] as number) ^ turns);
      }, 0);
    });
    return { word, dots };
  });
}

function cut(values: Int32Array, width: number, { left, top, ...cell }: Cell): Int32Array {
  return Int32Array.from({ length: cell.width * cell.height }, (_, at) => {
    return values[(top + Math.floor(at / cell.width)) * width + left + (at % cell.width)] ?? -1;
  });
}
