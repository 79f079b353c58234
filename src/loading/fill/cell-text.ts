import type { Font } from "../font/font.js";
import { codeOf } from "./character-rom.js";
import { type CellGrid, wordFor } from "./cells.js";
import type { Layer } from "./layer.js";

/**
 * Writes a text as codes of a character generator; the place is counted in characters. Lines are broken between words. Returns
 * the letters that the generator does not have.
 */
export function writeCells(
  grid: CellGrid,
  { text, place = {}, align, inverse }: Extract<Layer, { kind: "text" }>,
  font: Font,
  ram: Uint8Array,
): readonly string[] {
  const { x = 0, y = 0, width = grid.columns - x, height = grid.rows - y } = place;
  const missing: string[] = [];
  const lines = text
    .replace(/\r\n?/g, "\n")
    .replace(/\n$/, "")
    .split("\n")
    .flatMap((line) => brokenAt(line, Math.max(1, width)))
    .slice(0, height);
  lines.forEach((line, row) => {
    const letters = [...line];
    const room = width - letters.length;
    const indent = align === "left" ? 0 : align === "right" ? room : Math.floor(room / 2);
    letters.forEach((letter, column) => {
      const cell = grid.cells[(y + row) * grid.columns + x + indent + column];
      const across = x + indent + column;
      if (!cell || across < 0 || across >= grid.columns || y + row < 0) return;
      const { code, isThere } = codeOf(letter, grid, font);
      if (!isThere) missing.push(letter);
      const word = wordFor(grid, code, inverse);
      for (let bit = 0; bit < 8; bit++) ram[cell.first + bit] = (word >> bit) & 1;
    });
  });
  return missing;
}

function brokenAt(line: string, width: number): readonly string[] {
  const lines: string[] = [];
  let rest = [...line];
  while (rest.length > width) {
    const space = rest.lastIndexOf(" ", width);
    const end = space > 0 ? space : width;
    lines.push(rest.slice(0, end).join(""));
    rest = rest.slice(space > 0 ? end + 1 : end);
  }
  return [...lines, rest.join("")];
}
