import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type ColourImage, decodePicture, isRefused } from "../../src/loading/index.js";
import { ditherPicture, dithers } from "../../src/loading/picture/dither.js";
import { type Filter, fitPicture } from "../../src/loading/picture/fit.js";

/** Pictures written, read, scaled and dithered by an independent library; the JSON says which. */
const others = JSON.parse(readFileSync(new URL("../data/pictures.json", import.meta.url), "utf8")) as {
  readonly width: number;
  readonly height: number;
  readonly files: readonly { name: string; tolerance: number; file: string; rgba: string }[];
  readonly wave: {
    readonly width: number;
    readonly height: number;
    readonly scaled: readonly { filter: Filter; width: number; height: number; grey: string }[];
    readonly floydSteinberg: readonly string[];
  };
};
const bytesIn = (base64: string) => new Uint8Array(Buffer.from(base64, "base64"));
const BLACK_AND_WHITE = [
  [0, 0, 0],
  [255, 255, 255],
] as const;

function grey(width: number, height: number, level: (x: number, y: number) => number): ColourImage {
  const data = new Uint8Array(width * height * 4).fill(255);
  for (let dot = 0; dot < width * height; dot++)
    data.fill(level(dot % width, Math.floor(dot / width)), 4 * dot, 4 * dot + 3);
  return { width, height, data };
}

const { wave } = others;
const waves = grey(wave.width, wave.height, (x, y) => Math.floor(127.5 + 127.5 * Math.sin(x / 7) * Math.cos(y / 9)));

describe("a picture", () => {
  test.each(others.files)("is read as another library reads it: $name", ({ file, rgba, tolerance }) => {
    const image = decodePicture(bytesIn(file));
    if (isRefused(image)) throw new Error(image.problem);
    expect(image).toMatchObject({ width: others.width, height: others.height });
    const wanted = bytesIn(rgba);
    const off = image.data.reduce((most, level, at) => Math.max(most, Math.abs(level - (wanted[at] ?? 0))), 0);
    expect(off).toBeLessThanOrEqual(tolerance);
  });

  test("of netpbm reads as pbm(5) shows it: 1 is black, no space needed between digits", () => {
    const rows = ["000000000000000000000000", "011110011110011110011110", "010000010000010000010010"];
    const image = decodePicture(new TextEncoder().encode(`P1\n# feep\n24 3\n${rows.join("\n")}\n`));
    if (isRefused(image)) throw new Error(image.problem);
    const black = Array.from({ length: 72 }, (_, dot) => (image.data[4 * dot] === 0 ? "1" : "0")).join("");
    expect(black).toBe(rows.join(""));
  });

  test.each(wave.scaled)(
    "is scaled as another library does it: $filter to $width x $height",
    async ({ filter, width, height, grey: wanted }) => {
      const scaled = await fitPicture(waves, { width, height, fit: "stretch", filter, dotShape: 1 });
      const levels = bytesIn(wanted);
      const off = levels.reduce((most, level, dot) => Math.max(most, Math.abs(level - (scaled.data[4 * dot] ?? 0))), 0);
      expect(off).toBeLessThanOrEqual(2);
    },
  );

  test("keeps its shape on dots that are twice as wide as high, with bars beside it or cut", async () => {
    const square = grey(40, 40, () => 255);
    const size = { width: 40, height: 40, filter: "box", dotShape: 2 } as const;
    const lit = (image: ColourImage) => image.data.filter((level, at) => at % 4 === 3 && level > 127).length;
    // 20 dots of twice the width are as wide as 40 rows are high.
    expect(lit(await fitPicture(square, { ...size, fit: "fit", width: 30 }))).toBe(20 * 40);
    expect(lit(await fitPicture(square, { ...size, fit: "fill", width: 30 }))).toBe(30 * 40);
  });
});

describe("dithering", () => {
  test("after Floyd and Steinberg is as light as another library's wherever eight by eight dots are looked at", () => {
    const numbers = ditherPicture(waves, BLACK_AND_WHITE, { dither: "floyd-steinberg" });
    const theirs = wave.floydSteinberg.join("");
    // Errors are rounded otherwise, so that single dots come to lie elsewhere.
    for (let block = 0; block < 48; block++) {
      let [ours, other] = [0, 0];
      for (let at = 0; at < 64; at++) {
        const dot = (8 * Math.floor(block / 8) + Math.floor(at / 8)) * 64 + 8 * (block % 8) + (at % 8);
        ours += numbers[dot] ?? 0;
        other += theirs[dot] === "#" ? 1 : 0;
      }
      expect(Math.abs(ours - other)).toBeLessThanOrEqual(5);
    }
  });

  test("in order has the thresholds of Bayer's matrix", () => {
    // B. E. Bayer, An optimum method for two-level rendition of continuous-tone pictures (1973): first rows of the matrix of 8 x 8.
    const first = [0, 32, 8, 40, 2, 34, 10, 42];
    const second = [48, 16, 56, 24, 50, 18, 58, 26];
    const found = Array.from({ length: 16 }, () => 0);
    for (let level = 0; level < 256; level++) {
      const numbers = ditherPicture(
        grey(8, 2, () => level),
        BLACK_AND_WHITE,
        { dither: "ordered" },
      );
      for (let dot = 0; dot < 16; dot++) found[dot] = (found[dot] ?? 0) + (numbers[dot] ?? 0);
    }
    // A dot is lit at all levels above its threshold: from it 256 levels are ordered as the matrix is, high or low first.
    const order = (values: readonly number[]) => values.map((value) => values.filter((other) => other < value).length);
    const ascending = order([...first, ...second]);
    expect([ascending, ascending.map((place) => 15 - place)]).toContainEqual(order(found));
  });

  test.each(dithers.filter((dither) => dither !== "none"))("keeps the mean of a grey: %s", (dither) => {
    for (const level of [64, 128, 200]) {
      const numbers = ditherPicture(
        grey(64, 64, () => level),
        BLACK_AND_WHITE,
        { dither },
      );
      const mean = (255 * numbers.reduce((sum, one) => sum + one, 0)) / numbers.length;
      // Atkinson's shares out six eighths of the error alone, so that it is off by design.
      expect(Math.abs(mean - level)).toBeLessThan(dither === "atkinson" ? 40 : 8);
    }
  });

  test("leaves clear dots as they are, and turns light and dark over where asked for", () => {
    const image = grey(4, 1, (x) => (x < 2 ? 0 : 255));
    image.data[3] = 0;
    expect([...ditherPicture(image, BLACK_AND_WHITE, { dither: "none" })]).toEqual([-1, 0, 1, 1]);
    expect([...ditherPicture(image, BLACK_AND_WHITE, { dither: "none", negative: true })]).toEqual([-1, 1, 0, 0]);
  });
});

test("a damaged picture is read or refused, and never a crash", () => {
  fc.assert(
    fc.property(
      fc.nat(others.files.length - 1),
      fc.array(fc.tuple(fc.nat(), fc.nat(255)), { maxLength: 5 }),
      fc.nat(),
      (which, changes, end) => {
        const bytes = bytesIn(others.files[which]?.file ?? "");
        for (const [at, value] of changes) bytes[at % bytes.length] = value;
        const image = decodePicture(bytes.subarray(0, end % 3 === 0 ? end % bytes.length : bytes.length));
        expect(isRefused(image) ? image.problem.split("\n") : [1]).toHaveLength(1);
      },
    ),
    { numRuns: 300 },
  );
}, 60_000);

test("a picture that claims to be huge is refused at once", () => {
  const text = new TextEncoder();
  for (const head of [
    "P5 60000 60000 255\n",
    "P1 99999999 1\n",
    "P7\nWIDTH 9999999\nHEIGHT 9999999\nDEPTH 3\nMAXVAL 255\nENDHDR\n",
  ]) {
    const image = decodePicture(text.encode(head));
    expect(isRefused(image) && image.problem).toMatch(/are not taken|cut short/);
  }
});
