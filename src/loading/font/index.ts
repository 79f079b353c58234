import { type Refused, isRefused } from "../format/memory-image.js";
import { readBdf } from "./bdf.js";
import type { Font } from "./font.js";
import { isPcf, readPcf } from "./pcf.js";
import { readPsf } from "./psf.js";

/** Bytes of the largest font that is read: GNU Unifont has some 4 MB. */
export const largestFont = 32 * 2 ** 20;

/** Whether bytes are packed with gzip (RFC 1952), as Debian packs its fonts. Whoever reads a file unpacks it. */
export function isPacked(bytes: Uint8Array): boolean {
  return bytes[0] === 0x1f && bytes[1] === 0x8b;
}

/** Reads a font of any of the formats known, by its first bytes. Never throws. */
export function readFont(bytes: Uint8Array): Font | Refused {
  const start = new TextDecoder("latin1").decode(bytes.subarray(0, 9));
  if (start === "STARTFONT") return readBdf(new TextDecoder("latin1").decode(bytes));
  if (isPcf(bytes)) return readPcf(bytes);
  if (isPacked(bytes)) return { problem: "is packed with gzip; unpack it first" };
  const font = readPsf(bytes);
  const isNone = isRefused(font) && font.problem.startsWith("is no console font");
  return isNone ? { problem: "is no font: a BDF, PCF or console font (PSF 1 or 2) was expected" } : font;
}

export { type Font, type Glyph, glyphOf } from "./font.js";
export { ownFont } from "./own-font.js";
export { type SetText, type TextSettings, setText } from "./set-text.js";
