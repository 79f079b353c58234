import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { ensureDebianFonts } from "../../scripts/debian-fonts.mjs";
import { unpacked } from "../../src/cli/unpack.js";
import { type Font, isRefused, readFont } from "../../src/loading/index.js";

/** The fonts of Debian's xfonts-base, xfonts-unifont, psf-unifont, and of console-setup where it is installed. */
describe("Debian's fonts", () => {
  let files: readonly string[];
  beforeAll(() => {
    files = ensureDebianFonts();
  }, 300_000);

  const fontIn = (name: string): Font => {
    const path = files.find((file) => basename(file) === name) ?? name;
    const font = readFont(unpacked(new Uint8Array(readFileSync(path)), path));
    if (isRefused(font)) throw new Error(`${path}: ${font.problem}`);
    return font;
  };
  const rows = (font: Font, code: number) => {
    const { width, dots } = font.glyphs.get(code) ?? { width: 1, dots: new Uint8Array() };
    return Array.from({ length: dots.length / width }, (_, y) => dots.subarray(y * width, (y + 1) * width).join(""));
  };

  test("are all read, each with glyphs and a line of some height", () => {
    expect(files.length).toBeGreaterThan(300);
    for (const file of files) {
      const { glyphs, ascent, descent, width } = fontIn(basename(file));
      expect([file, glyphs.size > 0, ascent + descent > 0, width > 0]).toEqual([file, true, true, true]);
    }
  }, 120_000);

  test("of the X Window System have the same letters in every character set that was made of them", () => {
    const whole = fontIn("6x13.pcf.gz");
    const sets = files.map((file) => basename(file)).filter((name) => /^6x13-(ISO8859|KOI8)/.test(name));
    expect(sets.length).toBeGreaterThan(12);
    for (const name of sets) {
      const font = fontIn(name);
      const letters = [...font.glyphs.keys()].filter((code) => code > 0x20 && whole.glyphs.has(code));
      expect(letters.length).toBeGreaterThan(90);
      for (const code of letters) expect([name, code, rows(font, code)]).toEqual([name, code, rows(whole, code)]);
    }
  });

  test("of GNU Unifont have the A that is published as an example of BDF, as PCF and as a console font", () => {
    // https://www.liquisearch.com/glyph_bitmap_distribution_format/example
    const published = "00 00 00 00 18 24 24 42 42 7E 42 42 42 42 00 00"
      .split(" ")
      .map((digits) => Number.parseInt(digits, 16).toString(2).padStart(8, "0"));
    const pcf = fontIn("unifont.pcf.gz");
    expect(pcf.glyphs.size).toBeGreaterThan(50_000);
    expect(rows(pcf, 0x41)).toEqual(published);
    expect(rows(fontIn("Unifont-APL8x16.psf.gz"), 0x41)).toEqual(published);
  });
});
