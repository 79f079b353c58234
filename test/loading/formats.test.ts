import { crc32 } from "node:zlib";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type MemoryImage,
  differenceOf,
  formatOf,
  givenCount,
  isRefused,
  readImage,
  writeImage,
} from "../../src/loading/index.js";
import { readIntelHex } from "../../src/loading/format/intel-hex.js";
import { readSRecords } from "../../src/loading/format/s-record.js";

const bytesOf = (text: string) => new TextEncoder().encode(text);
const fromHex = (digits: string) => Uint8Array.from(digits.match(/../g) ?? [], (two) => Number.parseInt(two, 16));
const END = ":00000001FF";

describe("Intel HEX", () => {
  // C Users Journal v7 n4, listing 28A; NCKU 8051 slides, example 8-4; Cypress CY7C292A programmer manual (Model 9000), p. 26.
  test.each([
    { record: ":04FEDC00210080CFB2", address: 0xfedc, data: "210080CF" },
    { record: ":07002000DBFEDCFADDF62235", address: 0x20, data: "DBFEDCFADDF622" },
    { record: ":03012300010203D3", address: 0x123, data: "010203" },
  ])("reads the published record $record", ({ record, address, data }) => {
    expect(readIntelHex(`${record}\n${END}\n`)).toEqual([{ address, bytes: fromHex(data) }]);
  });

  test("refuses a published record with another checksum, and says which is right", () => {
    expect(readIntelHex(`:04FEDC00210080CFB3\n${END}`)).toEqual({
      problem: "line 1: its checksum is 0xb3; its bytes ask for 0xb2",
    });
  });

  test("writes the published record, and the standard end record", () => {
    const image = { bytes: new Uint8Array(0x10000), given: new Uint8Array(0x10000).fill(1, 0xfedc, 0xfee0) };
    image.bytes.set(fromHex("210080CF"), 0xfedc);
    expect(writeImage(image, "hex", "x")).toBe(`:04FEDC00210080CFB2\n${END}\n`);
  });

  test("counts addresses above 64 K by records of types 4 and 2, as srec_intel(5) says", () => {
    // ULBA x 65536 + offset; SBA + (offset + index) mod 65536.
    expect(readIntelHex(`:020000040001F9\n:01001000559A`)).toMatchObject({ problem: /cut short/ });
    expect(readIntelHex(`:020000040001F9\n:01001000559A\n${END}`)).toEqual([
      { address: 0x10010, bytes: Uint8Array.of(0x55) },
    ]);
    expect(readIntelHex(`:020000021000EC\n:02FFFF001122CD\n${END}`)).toEqual([
      { address: 0x1ffff, bytes: Uint8Array.of(0x11) },
      { address: 0x10000, bytes: Uint8Array.of(0x22) },
    ]);
  });
});

describe("Motorola S-records", () => {
  test("reads the record of C Users Journal v7 n4, listing 28A", () => {
    expect(readSRecords("S107FEDC210080CFAE\nS9030000FC")).toEqual([{ address: 0xfedc, bytes: fromHex("210080CF") }]);
  });

  // srec_motorola(5): "Hello, World" and a newline at 0.
  const example = "S00600004844521B\nS110000048656C6C6F2C20576F726C640A9D\nS5030001FB\nS9030000FC\n";

  test("reads and writes the file of srec_motorola(5)", () => {
    expect(readSRecords(example)).toEqual([{ address: 0, bytes: bytesOf("Hello, World\n") }]);
    expect(writeImage({ bytes: bytesOf("Hello, World\n") }, "srec", "HDR")).toBe(example);
  });

  test("notices a record that is missing by the count", () => {
    expect(readSRecords(example.replace(/S11.*\n/, ""))).toEqual({
      problem: "line 2: counts 1 data records; there are 0",
    });
  });
});

/** Images with some bytes given, of up to 600 bytes at any place of 96 K. */
const image = fc
  .record({
    at: fc.nat(0x17000),
    bytes: fc.uint8Array({ minLength: 1, maxLength: 600 }),
    holes: fc.array(fc.nat(599), { maxLength: 5 }),
  })
  .map(({ at, bytes, holes }): MemoryImage => {
    const [all, given] = [new Uint8Array(0x18000), new Uint8Array(0x18000)];
    all.set(bytes, at);
    given.fill(1, at, at + bytes.length);
    for (const hole of holes) if (hole > 0 && hole < bytes.length) [given[at + hole], all[at + hole]] = [0, 0];
    return { bytes: all, given };
  });

describe("a memory image", () => {
  test.each(["hex", "srec", "c"] as const)("comes back from %s as it was written", (format) => {
    fc.assert(
      fc.property(image, (one) => {
        const written = writeImage(one, format, "tide");
        const back = readImage(typeof written === "string" ? bytesOf(written) : written, 0x18000, format);
        if (isRefused(back)) throw new Error(back.problem);
        expect(crc32(back.bytes)).toBe(crc32(one.bytes));
        expect(crc32(back.given ?? new Uint8Array(0x18000).fill(1))).toBe(crc32(one.given ?? new Uint8Array()));
      }),
      { numRuns: 40 },
    );
  });

  test("with one letter damaged is refused: every checksum sees it", () => {
    const written = { hex: "", srec: "" };
    for (const format of ["hex", "srec"] as const) {
      written[format] = writeImage(
        { bytes: Uint8Array.from({ length: 40 }, (_, at) => at * 7) },
        format,
        "A",
      ) as string;
    }
    fc.assert(
      fc.property(
        fc.constantFrom("hex" as const, "srec" as const),
        fc.nat(),
        fc.constantFrom(..."0123456789ABCDEF"),
        (format, at, digit) => {
          const text = written[format];
          const place = at % text.length;
          if (!/[0-9A-F]/.test(text[place] ?? "") || text[place] === digit) return;
          const damaged = text.slice(0, place) + digit + text.slice(place + 1);
          const read = readImage(bytesOf(damaged), 40, format);
          // The digit of an S-record's type is under no checksum.
          const isType = format === "srec" && text[place - 1] === "S";
          expect(isRefused(read) || isType).toBe(true);
        },
      ),
      { numRuns: 300 },
    );
  });

  test("of any bytes is read or refused, and never a crash", () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 200 }),
        fc.constantFrom("", ":", "S1", "x[] = {", ":10000000"),
        (bytes, start) => {
          for (const format of ["bin", "hex", "srec", "c"] as const) {
            const read = readImage(Uint8Array.from([...bytesOf(start), ...bytes]), 64, format);
            expect(isRefused(read) || read.bytes.length === 64).toBe(true);
          }
        },
      ),
      { numRuns: 200 },
    );
  });

  test("of which only differences are wanted gives those bytes alone", () => {
    const [before, after] = [Uint8Array.of(1, 2, 3, 4), Uint8Array.of(1, 9, 3, 8)];
    const difference = differenceOf({ bytes: after }, before);
    expect(givenCount(difference)).toBe(2);
    expect(writeImage(difference, "hex", "x")).toBe(":0100010009F5\n:0100030008F4\n:00000001FF\n");
  });

  test("is known by the ending of its file's name", () => {
    expect(["a.HEX", "a.s19", "a.bin", "a.c", "a.txt", "a"].map(formatOf)).toEqual([
      "hex",
      "srec",
      "bin",
      "c",
      undefined,
      undefined,
    ]);
  });
});
