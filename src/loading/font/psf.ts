import type { Refused } from "../format/memory-image.js";
import { type Font, type Glyph, unpackRows } from "./font.js";

/**
 * Reads a console font, PC Screen Font version 1 or 2. Glyphs go by the Unicode table where there is one, else by their place.
 * Sequences of the table (a letter made of several code points) are left out. Never throws.
 */
export function readPsf(bytes: Uint8Array): Font | Refused {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes[0] === 0x36 && bytes[1] === 0x04) return readPsf1(bytes);
  const isSecond = bytes.length >= 4 && view.getUint32(0) === 0x72b54a86;
  return isSecond ? readPsf2(bytes, view) : { problem: "is no console font: bytes 36 04 or 72 b5 4a 86 were expected" };
}

const FIRST_HEADER = 4;
const SECOND_HEADER = 32;
const LARGEST_SIDE = 512;
const MOST_GLYPHS = 0x20000;
/** Bits of the mode byte of version 1. */
const [MODE_512, MODE_TABLE, MODE_SEQUENCES] = [1, 2, 4];

interface Shape {
  readonly count: number;
  readonly width: number;
  readonly height: number;
  readonly size: number;
  readonly start: number;
}

function readPsf1(bytes: Uint8Array): Font | Refused {
  const [, , mode, height] = bytes;
  if (mode === undefined || height === undefined) return { problem: "its header is cut short" };
  const shape = { count: mode & MODE_512 ? 512 : 256, width: 8, height, size: height, start: FIRST_HEADER };
  const problem = problemOf(shape, bytes);
  if (problem !== undefined) return { problem };
  const hasTable = (mode & (MODE_TABLE | MODE_SEQUENCES)) !== 0;
  return fontOf("console font", shape, bytes, hasTable ? tableOf16Bits(bytes, shape) : undefined);
}

function readPsf2(bytes: Uint8Array, view: DataView): Font | Refused {
  if (bytes.length < SECOND_HEADER) return { problem: "its header is cut short" };
  const number = (at: number) => view.getUint32(at, true);
  const shape = { count: number(16), width: number(28), height: number(24), size: number(20), start: number(8) };
  if (number(4) !== 0) return { problem: `is of version ${number(4)}, which nothing is known of` };
  const problem = problemOf(shape, bytes);
  if (problem !== undefined) return { problem };
  const hasTable = (number(12) & 1) !== 0;
  return fontOf("console font", shape, bytes, hasTable ? tableOfUtf8(bytes, shape) : undefined);
}

function problemOf({ count, width, height, size, start }: Shape, { length }: Uint8Array): string | undefined {
  if (count === 0) return "the font has no glyphs";
  const isSound = [width, height].every((side) => side > 0 && side <= LARGEST_SIDE) && count <= MOST_GLYPHS;
  if (!isSound || size < height * Math.ceil(width / 8)) {
    return `its header makes no sense: ${count} glyphs of ${width} x ${height} dots in ${size} bytes each`;
  }
  const needed = start + count * size;
  return needed > length ? `is cut short: ${count} glyphs take ${needed} bytes, there are ${length}` : undefined;
}

function fontOf(
  name: string,
  shape: Shape,
  bytes: Uint8Array,
  table: readonly (readonly number[])[] | undefined,
): Font {
  const { count, width, height, size, start } = shape;
  // A console's cell has no base line; that of most stands on three quarters or more of the height.
  const descent = Math.floor(height / 5);
  const glyphs = new Map<number, Glyph>();
  for (let index = 0; index < count; index++) {
    const dots = unpackRows(bytes.subarray(start + index * size, start + (index + 1) * size), width, height);
    const glyph = { width, height, left: 0, bottom: -descent, advance: width, dots };
    for (const code of table ? (table[index] ?? []) : [index]) if (!glyphs.has(code)) glyphs.set(code, glyph);
  }
  return { name, ascent: height - descent, descent, width, glyphs };
}

/** Codes of each glyph: 16 bits each, FFFF ends a glyph, FFFE begins a sequence. */
function tableOf16Bits(bytes: Uint8Array, { start, count, size }: Shape): readonly (readonly number[])[] {
  const codes: number[][] = [[]];
  let isSequence = false;
  for (let at = start + count * size; at + 1 < bytes.length && codes.length <= count; at += 2) {
    const code = (bytes[at] ?? 0) + 256 * (bytes[at + 1] ?? 0);
    if (code === 0xffff) {
      codes.push([]);
      isSequence = false;
    } else if (code === 0xfffe) isSequence = true;
    else if (!isSequence) codes.at(-1)?.push(code);
  }
  return codes;
}

/** Codes of each glyph: UTF-8, FF ends a glyph, FE begins a sequence. */
function tableOfUtf8(bytes: Uint8Array, { start, count, size }: Shape): readonly (readonly number[])[] {
  const decoder = new TextDecoder();
  const codes: number[][] = [];
  let from = start + count * size;
  while (codes.length < count && from < bytes.length) {
    const found = bytes.indexOf(0xff, from);
    const end = found < 0 ? bytes.length : found;
    const sequence = bytes.subarray(from, end).indexOf(0xfe);
    const single = bytes.subarray(from, sequence < 0 ? end : from + sequence);
    codes.push([...decoder.decode(single)].map((letter) => letter.codePointAt(0) ?? 0));
    from = end + 1;
  }
  return codes;
}
