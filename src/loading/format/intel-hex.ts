import { type MemoryImage, type Refused, type Stretch, hex, stretchesOf } from "./memory-image.js";

/** Intel HEX records: a colon, then bytes in hexadecimal, the last of them a checksum with which all add to 0. */

const BYTES_A_RECORD = 16;
const END_RECORD = ":00000001FF";
/** Addresses of a record have 16 bits; records of type 4 give the 16 above them. */
const PAGE = 0x10000;
const DATA = 0;
const END = 1;
const SEGMENT = 2;
const LINEAR = 4;
/** Where a program starts: types 3 and 5. A memory's contents do not have one. */
const START = [3, 5];

export function writeIntelHex(image: MemoryImage): string {
  const lines: string[] = [];
  let page = 0;
  for (const { address: from, bytes } of stretchesOf(image)) {
    for (let at = 0; at < bytes.length;) {
      const address = from + at;
      const above = Math.floor(address / PAGE);
      if (above !== page) lines.push(record(LINEAR, 0, [above >> 8, above & 0xff]));
      page = above;
      const count = Math.min(BYTES_A_RECORD - (address % BYTES_A_RECORD), bytes.length - at);
      lines.push(record(DATA, address % PAGE, bytes.subarray(at, at + count)));
      at += count;
    }
  }
  return `${[...lines, END_RECORD].join("\n")}\n`;
}

function record(type: number, address: number, data: ArrayLike<number>): string {
  const bytes = [data.length, address >> 8, address & 0xff, type, ...Array.from(data)];
  const sum = bytes.reduce((total, byte) => total + byte, 0);
  return `:${[...bytes, -sum & 0xff].map(twoDigits).join("")}`;
}

/** Reads the records of a file. Never throws. */
export function readIntelHex(text: string): readonly Stretch[] | Refused {
  const stretches: Stretch[] = [];
  let base = 0;
  let segment: number | undefined;
  const lines = text.split(/\r\n|\n|\r/);
  for (const [index, line] of lines.entries()) {
    if (line.trim() === "") continue;
    const wrong = (what: string): Refused => ({ problem: `line ${index + 1}: ${what}` });
    const bytes = bytesOf(line.trim(), ":");
    if (!bytes) return wrong("is no Intel HEX record: a colon and pairs of hexadecimal digits were expected");
    const [length = 0, high = 0, low = 0, type = 0] = bytes;
    if (bytes.length < 5 || bytes.length !== length + 5) {
      return wrong(`says that ${length} bytes follow; ${Math.max(0, bytes.length - 5)} do`);
    }
    const sum = bytes.reduce((total, byte) => total + byte, 0) & 0xff;
    const last = bytes.at(-1) ?? 0;
    if (sum !== 0) return wrong(`its checksum is ${hex(last, 2)}; its bytes ask for ${hex((last - sum) & 0xff, 2)}`);
    const data = Uint8Array.from(bytes.slice(4, -1));
    if (type === DATA) {
      const offset = high * 256 + low;
      if (segment === undefined) {
        stretches.push({ address: base + offset, bytes: data });
        continue;
      }
      // Within a segment addresses go round at 64 K.
      const fits = Math.min(data.length, PAGE - offset);
      stretches.push({ address: segment + offset, bytes: data.subarray(0, fits) });
      if (fits < data.length) stretches.push({ address: segment, bytes: data.subarray(fits) });
    } else if (type === END) {
      if (lines.slice(index + 1).some((rest) => rest.trim() !== "")) return wrong("ends the file, and more follows");
      return stretches;
    } else if (type === LINEAR || type === SEGMENT) {
      if (data.length !== 2) return wrong(`a record of type ${type} has 2 bytes, not ${data.length}`);
      const value = (data[0] ?? 0) * 256 + (data[1] ?? 0);
      [base, segment] = type === LINEAR ? [value * PAGE, undefined] : [0, value * 16];
    } else if (!START.includes(type)) {
      return wrong(`there is no record of type ${type}`);
    }
  }
  return { problem: "its end record (:00000001FF) is missing: the file is cut short" };
}

/** The bytes of a record behind its mark; undefined where it is none. */
export function bytesOf(line: string, mark: string): number[] | undefined {
  const digits = line.slice(mark.length);
  if (!line.startsWith(mark) || digits.length % 2 !== 0 || !/^[0-9a-f]*$/i.test(digits)) return undefined;
  return Array.from({ length: digits.length / 2 }, (_, at) => Number.parseInt(digits.slice(2 * at, 2 * at + 2), 16));
}

export function twoDigits(byte: number): string {
  return byte.toString(16).toUpperCase().padStart(2, "0");
}
