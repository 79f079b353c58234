import { crc32 } from "node:zlib";
import { decode, decodeApng } from "fast-png";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Depth, type Picture, Animation, MONO, blackPicture, packRows, toRgb } from "../../src/raster/index.js";

/**
 * The order of chunks and the fields of `acTL`, `fcTL` and `fdAT` follow the W3C recommendation "Portable Network Graphics
 * (PNG) Specification (Third Edition)", clauses 4.9 and 11.3.4 (from memory). Check sums are Node's; each
 * frame's dots are decoded by fast-png as a still picture.
 */
interface Chunk {
  readonly type: string;
  readonly data: Buffer;
}

function chunksOf(file: Uint8Array): Chunk[] {
  const bytes = Buffer.from(file);
  expect(bytes.subarray(0, 8).toString("latin1")).toBe("\x89PNG\r\n\x1a\n");
  const chunks: Chunk[] = [];
  for (let at = 8; at < bytes.length;) {
    const length = bytes.readUInt32BE(at);
    expect(bytes.readUInt32BE(at + 8 + length)).toBe(crc32(bytes.subarray(at + 4, at + 8 + length)));
    chunks.push({ type: bytes.toString("latin1", at + 4, at + 8), data: bytes.subarray(at + 8, at + 8 + length) });
    at += 12 + length;
  }
  return chunks;
}

/** Fails where the file is not as the recommendation has it. */
function demand(holds: boolean, what: string): void {
  if (!holds) throw new Error(`not an animated PNG: ${what}`);
}

interface ReadFrame {
  readonly width: number;
  readonly height: number;
  readonly x: number;
  readonly y: number;
  readonly seconds: number;
  readonly rows: Buffer;
}

/** The frames as the recommendation says that they lie in the file. */
function framesOf(chunks: readonly Chunk[]): ReadFrame[] {
  const frames: ReadFrame[] = [];
  let sequence = 0;
  for (const { type, data } of chunks) {
    if (type === "fcTL") {
      demand(data.length === 26, "the length of fcTL");
      demand(data.readUInt32BE(0) === sequence++, "the sequence of fcTL");
      const [width, height, x, y] = [4, 8, 12, 16].map((at) => data.readUInt32BE(at)) as [
        number,
        number,
        number,
        number,
      ];
      demand(data[24] === 0 && data[25] === 0, "dispose and blend");
      frames.push({
        ...{ width, height, x, y },
        seconds: data.readUInt16BE(20) / data.readUInt16BE(22),
        rows: Buffer.alloc(0),
      });
    }
    const last = frames.at(-1);
    if (!last) continue;
    if (type === "fdAT") demand(data.readUInt32BE(0) === sequence++, "the sequence of fdAT");
    if (type === "fdAT" || type === "IDAT") {
      demand(type === (frames.length === 1 ? "IDAT" : "fdAT"), "the kind of data");
      frames[frames.length - 1] = { ...last, rows: Buffer.concat([last.rows, data.subarray(type === "fdAT" ? 4 : 0)]) };
    }
  }
  return frames;
}

/** One frame as a still PNG of its own, for a decoder that knows no animation. */
function still(header: Buffer, { width, height, rows }: ReadFrame): Buffer {
  const own = Buffer.from(header);
  own.writeUInt32BE(width, 0);
  own.writeUInt32BE(height, 4);
  const chunk = (type: string, data: Buffer) => {
    const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
    const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
    length.writeUInt32BE(data.length);
    sum.writeUInt32BE(crc32(body));
    return Buffer.concat([length, body, sum]);
  };
  const signature = Buffer.from("\x89PNG\r\n\x1a\n", "latin1");
  return Buffer.concat([signature, chunk("IHDR", own), chunk("IDAT", rows), chunk("IEND", Buffer.alloc(0))]);
}

/**
 * Plays an animation frame by frame: what a frame does not cover stays as it was. One number a dot, or three in colour.
 * fast-png plays animations too, but blackens what a frame does not cover, against the recommendation.
 */
function played(file: Uint8Array): number[][] {
  const chunks = chunksOf(file);
  const header = chunks[0]?.data ?? Buffer.alloc(0);
  const [width, height] = [header.readUInt32BE(0), header.readUInt32BE(4)];
  let screen: number[] = [];
  return framesOf(chunks).map((frame) => {
    const { data, depth, channels } = decode(still(header, frame));
    const bytesPerRow = Math.ceil((frame.width * depth * channels) / 8);
    if (screen.length === 0) screen = Array.from({ length: width * height * channels }, () => 0);
    for (let y = 0; y < frame.height; y++) {
      for (let x = 0; x < frame.width * channels; x++) {
        const byte = data[y * bytesPerRow + (depth === 1 ? x >> 3 : x)] ?? 0;
        screen[((frame.y + y) * width + frame.x) * channels + x] = depth === 1 ? (byte >> (7 - (x & 7))) & 1 : byte;
      }
    }
    return [...screen];
  });
}

const FRAME = 1 / 59.94;

/** Pictures of one size; neighbours often differ in little, or in nothing. */
function films(depth: Depth, values: number): fc.Arbitrary<Picture[]> {
  const size = fc.record({ width: fc.integer({ min: 1, max: 40 }), height: fc.integer({ min: 1, max: 12 }) });
  return size.chain(({ width, height }) => {
    const spot = fc.tuple(fc.nat(width * height - 1), fc.nat(values - 1));
    return fc.array(fc.array(spot, { maxLength: 5 }), { minLength: 1, maxLength: 8 }).map((steps) => {
      const screen = blackPicture(width, height, depth);
      return steps.map((spots) => {
        for (const [at, value] of spots) screen.dots[at] = value;
        return { ...screen, dots: screen.dots.slice() };
      });
    });
  });
}

function animationOf(pictures: readonly Picture[]): Animation {
  const animation = new Animation();
  for (const picture of pictures) animation.add(picture, FRAME);
  return animation;
}

describe("an animated PNG", () => {
  test("plays every frame of a picture in black and white", () => {
    fc.assert(
      fc.property(films(MONO, 2), (pictures) => {
        const file = animationOf(pictures).encode();
        expect(played(file)).toEqual(pictures.map(({ dots }) => [...dots]));
        // A program that knows no animation shows the first frame.
        const [first] = pictures;
        expect(new Uint8Array(decode(file).data)).toEqual(first && packRows(first));
      }),
      { numRuns: 60 },
    );
  });

  test("plays every frame of a picture in colour", () => {
    const depth = { kind: "colour", red: 3, green: 3, blue: 2 } as const;
    fc.assert(
      fc.property(films(depth, 256), (pictures) => {
        const file = animationOf(pictures).encode();
        expect(played(file)).toEqual(pictures.map((picture) => [...toRgb(picture)]));
        expect(decodeApng(file)).toMatchObject({ numberOfFrames: pictures.length, numberOfPlays: 0 });
      }),
      { numRuns: 60 },
    );
  });

  test("shows each frame as long as it takes, to a millionth", () => {
    const times = [1 / 59.94, 1 / 50, 1 / 85.08, 1 / 23.976, 0.5, 1, 3];
    const animation = new Animation();
    for (const seconds of times) animation.add(blackPicture(8, 8), seconds);
    framesOf(chunksOf(animation.encode())).forEach(({ seconds }, index) => {
      const wanted = times[index] ?? 0;
      expect(Math.abs(seconds / wanted - 1), `${wanted} s`).toBeLessThan(1e-5);
    });
  });

  test("has its chunks in the order that the recommendation gives", () => {
    const animation = animationOf([blackPicture(4, 4), blackPicture(4, 4), blackPicture(4, 4)]);
    expect(animation.length).toBe(3);
    const types = chunksOf(animation.encode()).map(({ type }) => type);
    expect(types).toEqual(["IHDR", "acTL", "fcTL", "IDAT", "fcTL", "fdAT", "fcTL", "fdAT", "IEND"]);
  });

  test("keeps of a frame only what is new", () => {
    const [first, second] = [blackPicture(100, 50), blackPicture(100, 50)];
    second.dots[20 * 100 + 30] = 1;
    second.dots[24 * 100 + 37] = 1;
    const [, frame] = framesOf(chunksOf(animationOf([first, second]).encode()));
    expect(frame).toMatchObject({ x: 30, y: 20, width: 8, height: 5 });
  });

  test("refuses frames of another size or depth, and to be empty", () => {
    const animation = animationOf([blackPicture(4, 4)]);
    expect(() => animation.add(blackPicture(5, 4), FRAME)).toThrow(
      "a frame of 5 by 4 dots cannot follow others of 4 by 4",
    );
    const colour = blackPicture(4, 4, { kind: "colour", red: 1, green: 1, blue: 1 });
    expect(() => animation.add(colour, FRAME)).toThrow(RangeError);
    expect(() => new Animation().encode()).toThrow("an animation needs a frame");
  });
});
