import { type Font, glyphOf } from "../font/font.js";
import { bitCount, fillBits, type Contents } from "../mapping/bit-numbers.js";
import { type ScreenMap, romBitAt } from "../mapping/screen-map.js";
import { type CellGrid, wordFor } from "./cells.js";

/** Levels of the dots of one character, as it is to be shown: 1 is lit. */
export function glyphInCell(
  font: Font,
  code: number,
  { width, height }: Pick<CellGrid, "width" | "height">,
): Uint8Array {
  const dots = new Uint8Array(width * height);
  const glyph = font.glyphs.get(code);
  if (!glyph) return dots;
  // The line stands in the middle of the cell, upper dot first.
  const top = Math.floor((height - font.ascent - font.descent) / 2) + font.ascent - glyph.bottom - glyph.height;
  const left = Math.floor((width - font.width) / 2) + glyph.left;
  glyph.dots.forEach((lit, at) => {
    const [x, y] = [left + (at % glyph.width), top + Math.floor(at / glyph.width)];
    if (lit === 1 && x >= 0 && x < width && y >= 0 && y < height) dots[y * width + x] = 1;
  });
  return dots;
}

/**
 * Contents of the ROMs of a character generator, such that code N shows the letter with code point N (ISO 8859-1). What no dot
 * can show is 0. `bitOf` of the map says which bit it is, so neither the order of address lines nor that of data lines matters.
 */
export function makeCharacterRom(map: ScreenMap, grid: CellGrid, font: Font): Contents {
  const bits = new Uint8Array(bitCount(map.roms));
  const ram = new Uint8Array(bitCount(map.rams));
  const codes = 2 ** grid.codeBits.length;
  const glyphs = Array.from({ length: codes }, (_, code) => glyphInCell(font, code, grid));
  const nets = [...new Set(map.nets)];
  const seen = new Set<string>();
  for (const cell of grid.cells) {
    // Cells that show the same ROM bits as one before need not be gone through again.
    const corner = cell.top * map.width + cell.left;
    const kind = `${nets.map((net) => net.rom[corner]).join(" ")} ${cell.width} ${cell.height}`;
    if (seen.has(kind)) continue;
    seen.add(kind);
    for (let code = 0; code < codes; code++) {
      const word = wordFor(grid, code);
      for (let bit = 0; bit < 8; bit++) ram[cell.first + bit] = (word >> bit) & 1;
      for (let y = 0; y < cell.height; y++) {
        for (let x = 0; x < cell.width; x++) {
          const dot = (cell.top + y) * map.width + cell.left + x;
          const lit = glyphs[code]?.[y * grid.width + x] ?? 0;
          for (const net of nets) {
            const number = romBitAt(map, net, dot, ram);
            if (number >= 0) bits[number] = lit ^ (net.level[dot] as number);
          }
        }
      }
    }
    ram.fill(0, cell.first, cell.first + 8);
  }
  return fillBits(map.roms, (number) => bits[number] ?? 0);
}

/** The code under which a letter is in the ROM: its code point, where that fits; that of `?` otherwise. */
export function codeOf(letter: string, { codeBits }: CellGrid, font: Font): { code: number; isThere: boolean } {
  const code = letter.codePointAt(0) ?? 0x3f;
  const isThere = code < 2 ** codeBits.length && (font.glyphs.has(code) || glyphOf(font, code) === undefined);
  return isThere ? { code, isThere } : { code: 0x3f, isThere };
}
