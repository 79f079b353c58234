import { type Refused, isRefused } from "../format/memory-image.js";
import { readBdf } from "./bdf.js";
import type { Font } from "./font.js";
import { readPsf } from "./psf.js";

/** Reads a font of any of the formats known, by its first bytes. Never throws. */
export function readFont(bytes: Uint8Array): Font | Refused {
  const start = new TextDecoder("latin1").decode(bytes.subarray(0, 9));
  if (start === "STARTFONT") return readBdf(new TextDecoder("latin1").decode(bytes));
  const font = readPsf(bytes);
  const isNone = isRefused(font) && font.problem.startsWith("is no console font");
  return isNone ? { problem: "is no font: a BDF font or a console font (PSF 1 or 2) was expected" } : font;
}

export { type Font, type Glyph, glyphOf } from "./font.js";
export { ownFont } from "./own-font.js";
export { type SetText, type TextSettings, setText } from "./set-text.js";
