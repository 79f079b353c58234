import { type Font, glyphOf } from "./font.js";

export interface TextSettings {
  /** Dots from the left and the top of the place; 0 when absent. */
  readonly x?: number;
  readonly y?: number;
  /** Width of the place in dots, for alignment and breaking of lines. */
  readonly width: number;
  readonly align?: "left" | "centre" | "right";
  /** Each dot of the font as so many across and down; 1 when absent. */
  readonly scale?: number;
  /** Dots between the lines beside those of the font; 0 when absent. */
  readonly leading?: number;
  /** The picture that the text stands in: what lies beyond it is left out. */
  readonly within?: { readonly width: number; readonly height: number };
}

/** Lit dots of a text, and what of it could not be set. */
export interface SetText {
  /** Places of lit dots: x, y, x, y, ... They may lie outside the picture where it was not said how large that is. */
  readonly dots: Int32Array;
  /** Dots from the top of the place to the bottom of the last line. */
  readonly height: number;
  /** Letters that the font does not have. */
  readonly missing: readonly string[];
}

/** A text is cut off behind so many letters; no screen shows more. */
const LONGEST = 100_000;

/**
 * Sets a text: lines are broken where they are broken in it, and between words where the next would not fit the width. Letters
 * stand on a base line `ascent` below the top of their line.
 */
export function setText(text: string, font: Font, settings: TextSettings): SetText {
  const { x = 0, y = 0, width, align = "left", scale = 1, leading = 0, within } = settings;
  const { width: right, height: bottom } = within ?? { width: Infinity, height: Infinity };
  const [left, top] = within ? [0, 0] : [-Infinity, -Infinity];
  const dots: number[] = [];
  const missing = new Set<string>();
  const lineHeight = (font.ascent + font.descent) * scale + leading;
  const lines = text
    .slice(0, LONGEST)
    .replace(/\r\n?/g, "\n")
    .replace(/\n$/, "")
    .split("\n")
    .flatMap((line) => brokenInto(line.replace(/\t/g, "    "), font, Math.floor(width / scale)));
  lines.forEach((line, index) => {
    const length = lengthOf(line, font) * scale;
    const room = width - length;
    let pen = x + (align === "left" ? 0 : align === "right" ? room : Math.floor(room / 2));
    const base = y + index * lineHeight + font.ascent * scale;
    for (const letter of line) {
      const code = letter.codePointAt(0) ?? 0;
      if (!font.glyphs.has(code)) missing.add(letter);
      const glyph = glyphOf(font, code);
      if (!glyph) continue;
      const [begin, above] = [pen + glyph.left * scale, base - (glyph.bottom + glyph.height) * scale];
      const isSeen =
        begin < right && begin + glyph.width * scale > left && above < bottom && above + glyph.height * scale > top;
      if (isSeen) {
        glyph.dots.forEach((lit, dot) => {
          if (lit === 0) return;
          const [column, row] = [begin + (dot % glyph.width) * scale, above + Math.floor(dot / glyph.width) * scale];
          for (let down = Math.max(row, top); down < Math.min(row + scale, bottom); down++) {
            for (let across = Math.max(column, left); across < Math.min(column + scale, right); across++) {
              dots.push(across, down);
            }
          }
        });
      }
      pen += glyph.advance * scale;
    }
  });
  return { dots: Int32Array.from(dots), height: lines.length * lineHeight, missing: [...missing] };
}

function lengthOf(text: string, font: Font): number {
  let length = 0;
  for (const letter of text) length += glyphOf(font, letter.codePointAt(0) ?? 0)?.advance ?? 0;
  return length;
}

/** One line of a text as lines that fit; a word longer than a line is broken anywhere. */
function brokenInto(line: string, font: Font, width: number): readonly string[] {
  if (lengthOf(line, font) <= width) return [line];
  const lines: string[] = [];
  let [begun, length] = ["", 0];
  const end = () => {
    lines.push(begun.trimEnd());
    [begun, length] = ["", 0];
  };
  for (const word of line.split(/(?<= )/)) {
    if (length > 0 && length + lengthOf(word.trimEnd(), font) > width) end();
    for (const letter of word) {
      const advance = lengthOf(letter, font);
      if (length > 0 && letter !== " " && length + advance > width) end();
      begun += letter;
      length += advance;
    }
  }
  end();
  return lines;
}
