import { readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { unpacked } from "../../src/cli/unpack.js";
import { type Font, isRefused, largestFont, ownFont, readFont } from "../../src/loading/index.js";
import { setText } from "../../src/loading/font/set-text.js";

const file = (name: string) => new Uint8Array(readFileSync(new URL(`../data/fonts/${name}`, import.meta.url)));
const bytesOf = (text: string) => new TextEncoder().encode(text);

/** Texts set by another renderer from the fonts' own files; the JSON says which. */
const others = JSON.parse(new TextDecoder().decode(file("set-texts.json"))) as {
  readonly text: string;
  readonly "6x13": readonly string[];
  readonly "8x13": readonly string[];
};

function fontIn(bytes: Uint8Array): Font {
  const font = readFont(bytes);
  if (isRefused(font)) throw new Error(font.problem);
  return font;
}

/** A text as rows of dots, `#` lit. */
function rowsOf(text: string, font: Font, width: number, height: number): readonly string[] {
  const rows = Array.from({ length: height }, () => Array.from({ length: width }, () => "."));
  const { dots } = setText(text, font, { width });
  for (let at = 0; at < dots.length; at += 2) {
    const row = rows[dots[at + 1] ?? 0];
    if (row) row[dots[at] ?? 0] = "#";
  }
  return rows.map((row) => row.join(""));
}

describe("a text", () => {
  test("in a BDF font is set dot for dot as another renderer sets it", () => {
    const font = fontIn(file("fixed-6x13-ascii.bdf"));
    expect(rowsOf(others.text, font, 6 * others.text.length, 13)).toEqual(others["6x13"]);
  });

  test("in a PCF font is set dot for dot as that renderer sets it, and each letter is that of the font's source in BDF", () => {
    // 6x13-ISO8859-1.pcf.gz of Debian's xfonts-base 1:1.0.5+nmu1: misc-fixed, in the public domain.
    const font = fontIn(unpacked(file("6x13-ISO8859-1.pcf.gz"), "6x13-ISO8859-1.pcf.gz"));
    expect(rowsOf(others.text, font, 6 * others.text.length, 13)).toEqual(others["6x13"]);
    const source = fontIn(file("fixed-6x13-ascii.bdf"));
    expect(font).toMatchObject({ ascent: source.ascent, descent: source.descent, width: 6 });
    const letters = (one: Font) =>
      Array.from({ length: 95 }, (_, n) => rowsOf(String.fromCharCode(0x20 + n), one, 6, 13).join("\n"));
    expect(letters(font)).toEqual(letters(source));
    expect(font.glyphs.get(0xe9)?.advance).toBe(6); // é
  });

  test("in a PCF font for another alphabet goes by Unicode: KOI8-R has a Я where other sets have other letters", () => {
    const font = fontIn(unpacked(file("6x13-KOI8-R.pcf.gz"), "6x13-KOI8-R.pcf.gz"));
    const mirrored = rowsOf("Я", font, 6, 13).map((row) => [...row.slice(0, 5)].reverse().join(""));
    const plain = rowsOf("R", font, 6, 13).map((row) => row.slice(0, 5));
    // Я is R seen from behind; of the 13 rows most are the same.
    expect(mirrored.filter((row, y) => row === plain[y]).length).toBeGreaterThanOrEqual(9);
    expect(font.glyphs.has(0x44f)).toBe(true); // я
    expect(font.glyphs.has(0xd1)).toBe(false); // Ñ, which has the code of я
  });

  test("in a packed console font is that of the font unpacked; what is damaged or too large is told in a second", () => {
    const psf = file("Lat15-Fixed13.psf");
    expect(unpacked(new Uint8Array(gzipSync(psf)), "a.psf.gz")).toEqual(psf);
    const packed = new Uint8Array(gzipSync(psf));
    expect(() => unpacked(packed.subarray(0, 900), "a.psf.gz")).toThrow("a.psf.gz: is packed, and damaged");
    const large = new Uint8Array(gzipSync(new Uint8Array(largestFont + 1)));
    const begin = process.cpuUsage();
    expect(() => unpacked(large, "b.psf.gz")).toThrow("b.psf.gz: unpacks to more than 32 MB: that is no font");
    const { user, system } = process.cpuUsage(begin);
    expect((user + system) / 1e6).toBeLessThan(1);
  });

  // The console font Fixed13 of Debian's console-setup goes back to the X Window System's fixed 8x13; some letters were redrawn.
  test("in a console font has the dots of the X font that it was made of", () => {
    const font = fontIn(file("Lat15-Fixed13.psf"));
    const rows = rowsOf(others.text, font, 8 * others.text.length, 13);
    const cell = (of: readonly string[], at: number) => of.map((row) => row.slice(8 * at, 8 * at + 8)).join("\n");
    const same = [...others.text].filter((_, at) => cell(rows, at) === cell(others["8x13"], at));
    expect(same.length).toBeGreaterThan(others.text.length / 2);
  });

  test("is broken between words, and stands left, in the middle or right", () => {
    const font = ownFont();
    const across = (align: "left" | "centre" | "right") => {
      const { dots, height } = setText("II\nIIII", font, { width: 60, align });
      const x = [...dots.filter((_, at) => at % 2 === 0)];
      return { least: Math.min(...x), height };
    };
    // An I of the font stands one dot in from the left of its six; the longer line has four of them.
    expect(across("left")).toEqual({ least: 1, height: 16 });
    expect(across("centre")).toEqual({ least: 19, height: 16 });
    expect(across("right")).toEqual({ least: 37, height: 16 });
    expect(setText("AB CD", font, { width: 24 }).height).toBe(16);
    expect(setText("ABCDEF", font, { width: 24 }).height).toBe(16);
  });
});

describe("a font", () => {
  test("reads as the published example of GNU Unifont's A says", () => {
    // https://www.liquisearch.com/glyph_bitmap_distribution_format/example
    const rows = "00 00 00 00 18 24 24 42 42 7E 42 42 42 42 00 00".split(" ");
    const text = [
      "STARTFONT 2.1",
      "FONT -gnu-unifont-medium-r-normal--16-160-75-75-c-80-iso10646-1",
      "SIZE 16 75 75",
      "FONTBOUNDINGBOX 16 16 0 -2",
      "STARTPROPERTIES 2",
      "FONT_ASCENT 14",
      "FONT_DESCENT 2",
      "ENDPROPERTIES",
      "CHARS 1",
      "STARTCHAR U+0041",
      "ENCODING 65",
      "SWIDTH 500 0",
      "DWIDTH 8 0",
      "BBX 8 16 0 -2",
      "BITMAP",
      ...rows,
      "ENDCHAR",
      "ENDFONT",
    ];
    const font = fontIn(bytesOf(text.join("\r\n")));
    expect(font).toMatchObject({ ascent: 14, descent: 2, width: 8 });
    const dots = rows.flatMap((row) => Array.from({ length: 8 }, (_, x) => (Number.parseInt(row, 16) >> (7 - x)) & 1));
    expect([...(font.glyphs.get(65)?.dots ?? [])]).toEqual(dots);
  });

  test("of version 2 has rows padded to whole bytes and a table in UTF-8, as the format says", () => {
    const header = new DataView(new ArrayBuffer(32));
    header.setUint32(0, 0x72b54a86);
    // Version, header, flags, glyphs, bytes a glyph, height, width: 12 x 12 dots take 24 bytes.
    [0, 32, 1, 2, 24, 12, 12].forEach((number, index) => header.setUint32(4 + 4 * index, number, true));
    const glyphs = Uint8Array.from({ length: 48 }, (_, at) => (at % 2 === 0 ? 0x80 : 0x1f));
    const table = [...bytesOf("Aµ"), 0xfe, ...bytesOf("e\u0301"), 0xff, ...bytesOf("→"), 0xff];
    const font = fontIn(Uint8Array.from([...new Uint8Array(header.buffer), ...glyphs, ...table]));
    expect([...font.glyphs.keys()].map((code) => String.fromCodePoint(code))).toEqual(["A", "µ", "→"]);
    // 1000 0000 0001, and the last four bits are padding.
    expect([...(font.glyphs.get(65)?.dots.subarray(0, 12) ?? [])]).toEqual([1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1]);
  });

  test("of our own has all of ASCII, no two letters alike, each of 5 x 8 dots", () => {
    const { glyphs } = ownFont();
    for (let code = 0x20; code < 0x7f; code++) expect(glyphs.get(code)?.dots).toHaveLength(40);
    const drawn = [...glyphs].map(([, { dots }]) => dots.join(""));
    expect(new Set(drawn).size).toBe(drawn.length);
  });

  test("without glyphs, cut short or no font at all is refused in one line", () => {
    const [bdf, psf] = [file("fixed-6x13-ascii.bdf"), file("Lat15-Fixed13.psf")];
    const refusals = [
      [bytesOf("STARTFONT 2.1\nENDFONT\n"), "the font has no glyphs"],
      [bdf.subarray(0, 3000), /^line \d+: .*rows?|is missing: the font is cut short/],
      [psf.subarray(0, 1000), "is cut short: 256 glyphs take 3332 bytes, there are 1000"],
      [bytesOf("%PDF-1.4"), "is no font: a BDF, PCF or console font (PSF 1 or 2) was expected"],
    ] as const;
    for (const [bytes, problem] of refusals) {
      const font = readFont(bytes);
      expect(isRefused(font) && font.problem).toMatch(problem);
    }
  });

  test("that is damaged is read or refused, and never a crash", () => {
    const pcf = unpacked(file("6x13-ISO8859-1.pcf.gz"), "");
    const files = [file("fixed-6x13-ascii.bdf").subarray(0, 4000), file("Lat15-Fixed13.psf"), pcf];
    fc.assert(
      fc.property(
        fc.nat(2),
        fc.array(fc.tuple(fc.nat(), fc.nat(255)), { maxLength: 6 }),
        fc.nat(),
        (which, changes, end) => {
          const bytes = Uint8Array.from(files[which] ?? []);
          for (const [at, value] of changes) bytes[at % (at % 3 === 0 ? 64 : bytes.length)] = value;
          const font = readFont(bytes.subarray(0, end % 5 === 0 ? end % bytes.length : bytes.length));
          expect(isRefused(font) || font.glyphs.size > 0).toBe(true);
        },
      ),
      { numRuns: 300 },
    );
  });
});
