import { decode } from "fast-png";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type Picture,
  blackPicture,
  comparePictures,
  dotAt,
  drawTestCard,
  encodePng,
  packRows,
  toGrey,
  toRgb,
} from "../../src/raster/index.js";

/** A picture whose dots are taken from another one. */
function rearrange(picture: Picture, from: (x: number, y: number) => [number, number]): Picture {
  const result = blackPicture(picture.width, picture.height);
  result.dots.forEach((_, index) => {
    const [x, y] = from(index % picture.width, Math.floor(index / picture.width));
    result.dots[index] = dotAt(picture, x, y);
  });
  return result;
}

function differing(a: Picture, b: Picture): number {
  const difference = comparePictures(a, b);
  return difference.sameSize ? difference.count : Infinity;
}

describe("the test card", () => {
  const card = drawTestCard(320, 240);

  test("is the same every time", () => {
    expect(drawTestCard(320, 240)).toEqual(card);
  });

  test("has a frame one dot wide on all four sides", () => {
    for (let x = 0; x < 320; x++) expect([dotAt(card, x, 0), dotAt(card, x, 239)]).toEqual([1, 1]);
    for (let y = 0; y < 240; y++) expect([dotAt(card, 0, y), dotAt(card, 319, y)]).toEqual([1, 1]);
    expect(dotAt(card, 3, 3)).toBe(0);
  });

  test("has a tick at every byte and a number at every eighth", () => {
    for (let x = 8; x < 312; x += 8) {
      const length = [1, 2, 3, 4, 5, 6, 7, 8].findIndex((y) => dotAt(card, x, y) === 0);
      expect(length, `tick at ${x}`).toBe(x % 64 === 0 ? 7 : 2);
    }
    // The 2 of 256 as we draw it, beside the tick at 256.
    const two = [4, 5, 6, 7, 8].map((y) => [0, 1, 2].map((x) => dotAt(card, 258 + x, y)).join(""));
    expect(two).toEqual(["111", "001", "111", "100", "111"]);
  });

  test.each([
    ["mirrored", (x: number, y: number) => [319 - x, y]],
    ["upside down", (x: number, y: number) => [x, 239 - y]],
    ["turned", (x: number, y: number) => [319 - x, 239 - y]],
    ["one dot late", (x: number, y: number) => [x - 1, y]],
    ["one line late", (x: number, y: number) => [x, y - 1]],
    ["bytes in pairs swapped", (x: number, y: number) => [x ^ 8, y]],
    ["bits in a byte turned round", (x: number, y: number) => [x ^ 7, y]],
    ["two data wires swapped", (x: number, y: number) => [(x & 7) === 0 || (x & 7) === 1 ? x ^ 1 : x, y]],
    ["first column lost", (x: number, y: number) => [x === 0 ? -1 : x, y]],
    ["last line lost", (x: number, y: number) => [x, y === 239 ? -1 : y]],
    ["each byte shown twice", (x: number, y: number) => [(x & ~8) % 320, y]],
    ["rows in pairs equal", (x: number, y: number) => [x, y & ~1]],
  ] as [string, (x: number, y: number) => [number, number]][])("looks different when %s", (_, from) => {
    expect(differing(rearrange(card, from), card)).toBeGreaterThan(150);
  });

  test("has stripes of 2, 4, 8 and 16 dots, upright and level, that begin on a byte", () => {
    const runs = (dots: number[]) => {
      const changes = dots.flatMap((dot, index) => (index > 0 && dot !== dots[index - 1] ? [index] : []));
      return changes.slice(1).map((change, index) => change - (changes[index] ?? 0));
    };
    const periods = (along: (place: number) => number, from: number, length: number) =>
      new Set(runs(Array.from({ length }, (_, place) => along(from + place))));
    [2, 4, 8, 16].forEach((period, field) => {
      const left = 16 + 72 * field;
      expect(dotAt(card, left, 40)).toBe(1);
      expect(
        periods((x) => dotAt(card, x, 40), left, 60),
        `upright, ${period}`,
      ).toEqual(new Set([period / 2]));
      expect(
        periods((y) => dotAt(card, left + 5, y), 93, 48),
        `level, ${period}`,
      ).toEqual(new Set([period / 2]));
    });
  });

  test("has a circle that is round on the screen, whatever the shape of a dot", () => {
    for (const shape of [0.5, 1, 2]) {
      const drawn = drawTestCard(640, 480, shape);
      const dots: [number, number][] = [];
      drawn.dots.forEach((dot, index) => {
        const [x, y] = [index % 640, Math.floor(index / 640)];
        // The right half of the lowest band, less the frame and its corner mark.
        if (dot === 1 && x >= 320 && x < 630 && y >= 310 && y < 464) dots.push([x, y]);
      });
      const [xs, ys] = [dots.map(([x]) => x), dots.map(([, y]) => y)];
      const across = (Math.max(...xs) - Math.min(...xs) + 1) * shape;
      const down = Math.max(...ys) - Math.min(...ys) + 1;
      expect(Math.abs(across / down - 1), `dots ${shape} times as wide as high`).toBeLessThan(0.03);
      expect(dots.length).toBeGreaterThan(100);
    }
  });

  test("can be drawn in any size", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 200 }), fc.integer({ min: 1, max: 200 }), (width, height) => {
        const small = drawTestCard(width, height);
        expect(small.dots.length).toBe(width * height);
        expect(dotAt(small, width - 1, height - 1)).toBe(1);
      }),
    );
    expect(() => drawTestCard(0, 10)).toThrow("a picture cannot be 0 by 10 dots");
  });
});

describe("packing into bytes", () => {
  const picture = blackPicture(10, 2);
  picture.dots.set([1, 0, 0, 0, 0, 0, 1, 0, 1, 1, /* second row */ 0, 1, 0, 0, 0, 0, 0, 0, 0, 1]);

  test("puts the leftmost dot into the most significant bit", () => {
    expect([...packRows(picture)]).toEqual([0b10000010, 0b11000000, 0b01000000, 0b01000000]);
  });

  test("or into the least significant", () => {
    const bytes = packRows(picture, { leftmost: "least significant" });
    expect([...bytes]).toEqual([0b01000001, 0b00000011, 0b00000010, 0b00000010]);
  });

  test("leaves the gap that a row of the memory has", () => {
    expect([...packRows(picture, { bytesPerRow: 4 })]).toEqual([0x82, 0xc0, 0, 0, 0x40, 0x40, 0, 0]);
    expect(() => packRows(picture, { bytesPerRow: 1 })).toThrow("a row of 10 dots needs 2 bytes, not 1");
  });

  test("refuses colours", () => {
    const colour = blackPicture(8, 1, { kind: "colour", red: 1, green: 1, blue: 1 });
    expect(() => packRows(colour)).toThrow(RangeError);
  });
});

describe("pictures", () => {
  test("are compared dot by dot", () => {
    const [a, b] = [drawTestCard(40, 30), drawTestCard(40, 30)];
    b.dots[40 * 7 + 9] = 1 - (b.dots[40 * 7 + 9] ?? 0);
    expect(comparePictures(a, a)).toEqual({ sameSize: true, count: 0 });
    expect(comparePictures(a, b)).toEqual({ sameSize: true, count: 1, first: { x: 9, y: 7 } });
    expect(comparePictures(a, blackPicture(30, 40))).toEqual({ sameSize: false });
  });

  test("turn into grey and into colours at full brightness", () => {
    const mono = blackPicture(2, 1);
    mono.dots.set([0, 1]);
    expect([...toGrey(mono)]).toEqual([0, 255]);
    expect([...toRgb(mono)]).toEqual([0, 0, 0, 255, 255, 255]);

    const colour = blackPicture(3, 1, { kind: "colour", red: 1, green: 2, blue: 1 });
    colour.dots.set([0b1000, 0b0110, 0b0011]);
    expect([...toRgb(colour)]).toEqual([255, 0, 0, 0, 255, 0, 0, 85, 255]);
    // Luma of ITU-R BT.601: 0.299, 0.587, 0.114.
    expect([...toGrey(colour)]).toEqual([76, 150, Math.round(0.587 * 85 + 0.114 * 255)]);
  });

  test("come back from a PNG file dot by dot (source: decoded by fast-png)", () => {
    const card = drawTestCard(100, 60);
    const png = decode(encodePng(card));
    expect([png.width, png.height, png.depth, png.channels]).toEqual([100, 60, 1, 1]);
    expect(new Uint8Array(png.data)).toEqual(packRows(card));
  });
});
