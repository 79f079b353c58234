import data from "#data/fonts/own-5x7.json" with { type: "json" };
import { z } from "zod";
import type { Font, Glyph } from "./font.js";

const fontData = z.object({
  name: z.string(),
  width: z.number().int().positive(),
  ascent: z.number().int(),
  descent: z.number().int(),
  /** Of each letter its rows from the top, apart by spaces; `#` is drawn. */
  glyphs: z.record(z.string(), z.string()),
});

let made: Font | undefined;

/** The project's own font: letters of 5 x 7 dots, in cells of 6 x 8; ASCII and a few signs. */
export function ownFont(): Font {
  return (made ??= fontOf(fontData.parse(data)));
}

function fontOf({ name, width, ascent, descent, glyphs }: z.infer<typeof fontData>): Font {
  const entries = Object.entries(glyphs).map(([letter, text]): [number, Glyph] => {
    const rows = text.split(" ");
    const dots = Uint8Array.from(rows.join(""), (dot) => (dot === "#" ? 1 : 0));
    const box = { width: rows[0]?.length ?? 0, height: rows.length, left: 0, bottom: -descent, advance: width };
    return [letter.codePointAt(0) ?? 0, { ...box, dots }];
  });
  return { name, width, ascent, descent, glyphs: new Map(entries) };
}
