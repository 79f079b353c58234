import type { Refused } from "../format/memory-image.js";
import { type Font, type Glyph, unpackRows } from "./font.js";

/**
 * Reads a font in the Glyph Bitmap Distribution Format (Adobe, version 2.1; X Consortium's edition 2.2 reads alike). Never
 * throws. Glyphs without a code of their own (ENCODING -1) are left out.
 */
export function readBdf(text: string): Font | Refused {
  return new BdfReader(new Lines(text)).read();
}

/** The lines of a text, each split off as it is come to: of a damaged font no more are than are read. */
class Lines {
  readonly #text: string;
  #next = 0;
  #count = 0;
  #line = "";

  constructor(text: string) {
    this.#text = text;
  }

  /** A line by its number, from that of the last one asked for on; undefined behind the last one. */
  at(index: number): string | undefined {
    while (this.#count <= index) {
      if (this.#next > this.#text.length) return undefined;
      const [feed, turn] = [this.#text.indexOf("\n", this.#next), this.#text.indexOf("\r", this.#next)];
      const end = Math.min(feed < 0 ? this.#text.length : feed, turn < 0 ? this.#text.length : turn);
      this.#line = this.#text.slice(this.#next, end);
      this.#next = end + (this.#text.startsWith("\r\n", end) ? 2 : 1);
      this.#count++;
    }
    return this.#line;
  }
}

/** Dots of a side; larger ones are a damaged file. */
const LARGEST_SIDE = 512;
const MOST_GLYPHS = 0x20000;

interface Box {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly bottom: number;
}

class BdfReader {
  readonly #lines: Lines;
  #at = 0;

  constructor(lines: Lines) {
    this.#lines = lines;
  }

  read(): Font | Refused {
    if (!/^STARTFONT\b/.test(this.#lines.at(0) ?? "")) return { problem: "line 1: a BDF font begins with STARTFONT" };
    let name = "";
    let box: Box | undefined;
    let [ascent, descent]: (number | undefined)[] = [];
    const glyphs = new Map<number, Glyph>();
    let isEnded = false;
    for (this.#at = 1; !isEnded; this.#at++) {
      const text = this.#lines.at(this.#at);
      if (text === undefined) break;
      const line = text.trim();
      const space = line.search(/\s|$/);
      const [keyword, rest] = [line.slice(0, space), line.slice(space).trim()];
      if (keyword === "FONT") name = rest;
      else if (keyword === "FONTBOUNDINGBOX") {
        box = boxOf(rest);
        if (!box) return this.#wrong("FONTBOUNDINGBOX takes four numbers: width, height and two offsets");
      } else if (keyword === "FONT_ASCENT") ascent = wholeOf(rest);
      else if (keyword === "FONT_DESCENT") descent = wholeOf(rest);
      else if (keyword === "STARTCHAR") {
        const read = this.#glyph(box);
        if ("problem" in read) return read;
        if (read.code >= 0 && glyphs.size < MOST_GLYPHS && !glyphs.has(read.code)) glyphs.set(read.code, read.glyph);
      } else if (keyword === "ENDFONT") isEnded = true;
    }
    if (!isEnded) return { problem: "ENDFONT is missing: the font is cut short" };
    if (glyphs.size === 0) return { problem: "the font has no glyphs" };
    const all = [...glyphs.values()];
    return {
      name,
      ascent: ascent ?? most(all, ({ bottom, height }) => bottom + height),
      descent: descent ?? most(all, ({ bottom }) => -bottom),
      width: most(all, ({ advance }) => advance),
      glyphs,
    };
  }

  /** From STARTCHAR to ENDCHAR. */
  #glyph(fontBox: Box | undefined): { readonly code: number; readonly glyph: Glyph } | Refused {
    let code = -1;
    let box = fontBox;
    let advance: number | undefined;
    for (this.#at++; ; this.#at++) {
      const text = this.#lines.at(this.#at);
      if (text === undefined) return { problem: "ENDCHAR is missing: the font is cut short" };
      const [keyword = "", ...words] = text.trim().split(/\s+/, 6);
      if (keyword === "ENCODING") code = wholeOf(words[0] ?? "") ?? -1;
      else if (keyword === "DWIDTH") advance = wholeOf(words[0] ?? "");
      else if (keyword === "BBX") {
        box = boxOf(words.join(" "));
        if (!box) return this.#wrong(`BBX takes four numbers, with sides of 0 to ${LARGEST_SIDE} dots`);
      } else if (keyword === "BITMAP") {
        if (!box) return this.#wrong("BITMAP comes before BBX, and there is no FONTBOUNDINGBOX");
        const dots = this.#bitmap(box);
        if ("problem" in dots) return dots;
        return { code, glyph: { ...box, advance: Math.max(0, advance ?? box.width), dots: dots.dots } };
      } else if (keyword === "ENDCHAR") return this.#wrong("a glyph without BITMAP");
    }
  }

  #bitmap({ width, height }: Box): { readonly dots: Uint8Array } | Refused {
    const stride = Math.ceil(width / 8);
    const bytes = new Uint8Array(stride * height);
    for (let row = 0; row < height; row++) {
      const digits = (this.#lines.at(++this.#at) ?? "ENDFONT").trim();
      if (!/^[0-9a-f]*$/i.test(digits) || digits.length < 2 * stride) {
        return this.#wrong(`row ${row + 1} of ${height} of a bitmap: ${2 * stride} hexadecimal digits were expected`);
      }
      for (let at = 0; at < stride; at++) {
        bytes[row * stride + at] = Number.parseInt(digits.slice(2 * at, 2 * at + 2), 16);
      }
    }
    const end = (this.#lines.at(++this.#at) ?? "").trim();
    if (end !== "ENDCHAR") return this.#wrong(`ENDCHAR was expected after ${height} rows`);
    return { dots: unpackRows(bytes, width, height) };
  }

  #wrong(what: string): Refused {
    return { problem: `line ${this.#at + 1}: ${what}` };
  }
}

function boxOf(text: string): Box | undefined {
  const [width, height, left, bottom] = text.split(/\s+/).map(wholeOf);
  if (width === undefined || height === undefined || left === undefined || bottom === undefined) return undefined;
  const isSound = [width, height].every((side) => side >= 0 && side <= LARGEST_SIDE);
  return isSound && Math.abs(left) <= LARGEST_SIDE && Math.abs(bottom) <= LARGEST_SIDE
    ? { width, height, left, bottom }
    : undefined;
}

function wholeOf(text: string): number | undefined {
  return /^[-+]?\d{1,7}$/.test(text) ? Number(text) : undefined;
}

function most(glyphs: readonly Glyph[], of: (glyph: Glyph) => number): number {
  return glyphs.reduce((greatest, glyph) => Math.max(greatest, of(glyph)), 0);
}
