import { deflateSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { decodePicture, ownFont, readFont, readLoadingList } from "../../src/loading/index.js";
import { setText } from "../../src/loading/font/set-text.js";

/** What is told of input that is made to take all memory or time: one line, within a second of the processor's time. */
function toldInTime(read: () => unknown): string {
  const begin = process.cpuUsage();
  const found = read();
  const { user, system } = process.cpuUsage(begin);
  expect((user + system) / 1e6).toBeLessThan(1);
  if (typeof found === "string") return found;
  const problem = (found as { problem?: string }).problem ?? "is read";
  expect(problem).not.toContain("\n");
  return problem;
}

/** A PNG chunk with its CRC (W3C PNG, third edition, 5.3). */
function chunk(type: string, data: Uint8Array): Buffer {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  let crc = 0xffffffff;
  for (const byte of body) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  const [length, end] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  end.writeUInt32BE((crc ^ 0xffffffff) >>> 0);
  return Buffer.concat([length, body, end]);
}

function png(width: number, height: number, bitDepth: number, colour: number, data: Uint8Array, more: Buffer[] = []) {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([bitDepth, colour, 0, 0, 0], 8);
  const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  const chunks = [chunk("IHDR", header), ...more, chunk("IDAT", data), chunk("IEND", new Uint8Array())];
  return new Uint8Array(Buffer.concat([signature, ...chunks]));
}

/** Zeros that unpack to so many bytes. */
const bomb = (bytes: number) => deflateSync(Buffer.alloc(bytes), { level: 9 });

const large = bomb(2e8);
const row = deflateSync(Buffer.alloc(25 * 8));
const named = (data: Buffer) => Buffer.concat([Buffer.from("x\0\0"), data]);

describe("a picture that is made to take all memory is told of in a line, within a second", () => {
  test.each([
    ["of more dots than there are", png(0x7fffffff, 0x7fffffff, 8, 2, bomb(100)), "more than 64 million are not taken"],
    ["of 8 x 8 dots whose data unpack to 200 MB", png(8, 8, 8, 2, large), "more data than its dots take"],
    ["of 8 000 x 8 000 dots without data", png(8000, 8000, 1, 0, bomb(100)), "is a damaged picture"],
    ["as JPEG of 65 535 x 65 535 dots", jpeg(65_535, 65_535), "is a damaged picture: maxResolutionInMP limit exceeded"],
    [
      "as netpbm of more dots than there are",
      Buffer.from("P6 9999999 9999999 255\n"),
      "more than 64 million are not taken",
    ],
    ["as netpbm without data", Buffer.from("P4 8000 8000\n"), "cut short"],
  ])("%s", (_, bytes, message) => {
    expect(toldInTime(() => decodePicture(new Uint8Array(bytes)))).toContain(message);
  });

  test("but a colour profile and a text that unpack to 200 MB are not even looked at", () => {
    const more = [chunk("iCCP", named(large)), chunk("zTXt", named(large))];
    expect(toldInTime(() => decodePicture(png(8, 8, 8, 2, row, more)))).toBe("is read");
  });
});

/** A JPEG's begin: its size and one component (ITU-T T.81, B.2.2). */
function jpeg(width: number, height: number): Buffer {
  const size = [height >> 8, height & 255, width >> 8, width & 255];
  return Buffer.from([0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, ...size, 1, 1, 0x11, 0, 0xff, 0xd9]);
}

describe("a font that is made to take all memory is told of in a line, within a second", () => {
  const psf = (numbers: readonly number[]) => {
    const header = new DataView(new ArrayBuffer(32));
    header.setUint32(0, 0x72b54a86);
    numbers.forEach((number, index) => header.setUint32(4 + 4 * index, number, true));
    return new Uint8Array(header.buffer);
  };

  test.each([
    ["as PSF of four milliard glyphs", psf([0, 32, 0, 0xffffffff, 16, 16, 8]), "its header makes no sense"],
    [
      "as PSF of glyphs as large as a hall",
      psf([0, 32, 0, 256, 0x7fffffff, 0x7fffffff, 8]),
      "its header makes no sense",
    ],
    ["as PCF of 65 536 glyphs of 512 x 512 dots that share their bytes", sharedPcf(), "million dots together"],
    ["as BDF of a million glyphs that are no more than begun", begunBdf(), "line 5: a glyph without BITMAP"],
  ])("%s", (_, bytes, message) => {
    expect(toldInTime(() => readFont(bytes))).toContain(message);
  });
});

/** Metrics of 65 536 glyphs, uncompressed, in most significant bytes first; what else a font has is of no account. */
function sharedPcf(): Uint8Array {
  const count = 0x10000;
  const bytes = new DataView(new ArrayBuffer(24 + 8 + 12 * count));
  bytes.setUint32(0, 0x01666370);
  [1, 4, 4, 8 + 12 * count, 24].forEach((number, index) => bytes.setUint32(4 + 4 * index, number, true));
  bytes.setUint32(24, 4, true);
  bytes.setUint32(28, count);
  for (let glyph = 0; glyph < count; glyph++) {
    [0, 512, 512, 512, 0, 0].forEach((number, index) => bytes.setInt16(32 + 12 * glyph + 2 * index, number));
  }
  return new Uint8Array(bytes.buffer);
}

function begunBdf(): Uint8Array {
  const glyphs = "STARTCHAR a\nENCODING 65\nENDCHAR\n".repeat(1_000_000);
  return new TextEncoder().encode(`STARTFONT 2.1\nFONTBOUNDINGBOX 8 8 0 0\n${glyphs}`);
}

test("a text of a hundred thousand letters, each dot as 64 x 64, is set as far as the picture goes, within a second", () => {
  const long = "W".repeat(100_000);
  const within = { width: 320, height: 240 };
  toldInTime(() => {
    const { dots } = setText(long, ownFont(), { width: 320, scale: 64, within });
    expect(dots.length).toBeLessThanOrEqual(2 * 320 * 240);
    return "";
  });
  // What is left out is nothing that would be seen.
  const set = (where: object) => {
    const { dots } = setText("Quay 7\nLOW", ownFont(), { x: -3, y: 2, width: 60, scale: 3, ...where });
    const places = Array.from({ length: dots.length / 2 }, (_, n) => [dots[2 * n] ?? 0, dots[2 * n + 1] ?? 0] as const);
    return new Set(places.filter(([x, y]) => x >= 0 && x < 50 && y >= 0 && y < 40).map(([x, y]) => `${x} ${y}`));
  };
  expect(set({ within: { width: 50, height: 40 } })).toEqual(set({}));
});

describe("a list that is made to take all memory is told of in a line, within a second", () => {
  const anchors = Array.from({ length: 40 }, (_, n) => `a${n + 1}: &a${n + 1} [${`*a${n},`.repeat(9)}]`);
  test.each([
    ["nested a hundred thousand deep", `load: 1\nlayers: ${"[".repeat(100_000)}`],
    ["nested by braces", `load: 1\nlayers: ${"{a: ".repeat(50_000)}`],
    ["of names for names for names", `a0: &a0 [x]\n${anchors.join("\n")}\nload: 1\nlayers: *a40\n`],
    ["of a million layers", `load: 1\nlayers:\n${"- test card: true\n".repeat(300_000)}`],
  ])("%s", (_, text) => {
    toldInTime(() => {
      const { layers, problems } = readLoadingList(text, "list.yaml", { width: 320, height: 240 }, () => undefined);
      expect(layers).toBeUndefined();
      expect(problems.length).toBeGreaterThan(0);
      return "";
    });
  });
});
