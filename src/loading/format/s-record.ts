import { bytesOf, twoDigits } from "./intel-hex.js";
import { type MemoryImage, type Refused, type Stretch, hex, stretchesOf } from "./memory-image.js";

/**
 * Motorola S-records: S, a digit for the type, then bytes in hexadecimal: how many follow, an address of 2 to 4 bytes, data,
 * and a checksum with which all add to 255.
 */

const BYTES_A_RECORD = 16;
/** Bytes of the address in each type; 4 has no meaning. */
const ADDRESS_BYTES: Readonly<Record<string, number>> = {
  "0": 2,
  "1": 2,
  "2": 3,
  "3": 4,
  "5": 2,
  "6": 3,
  "7": 4,
  "8": 3,
  "9": 2,
};

export function writeSRecords(image: MemoryImage, name: string): string {
  const stretches = stretchesOf(image);
  const last = Math.max(0, ...stretches.map(({ address, bytes }) => address + bytes.length - 1));
  const [type, end] =
    last < 2 ** 16 ? (["1", "9"] as const) : last < 2 ** 24 ? (["2", "8"] as const) : (["3", "7"] as const);
  const header = [...name].map((letter) => letter.charCodeAt(0)).filter((code) => code >= 0x20 && code < 0x7f);
  const lines = [record("0", 0, header.slice(0, 40))];
  let count = 0;
  for (const { address: from, bytes } of stretches) {
    for (let at = 0; at < bytes.length;) {
      const length = Math.min(BYTES_A_RECORD - ((from + at) % BYTES_A_RECORD), bytes.length - at);
      lines.push(record(type, from + at, bytes.subarray(at, at + length)));
      at += length;
      count++;
    }
  }
  lines.push(record(count < 2 ** 16 ? "5" : "6", count, []), record(end, 0, []));
  return `${lines.join("\n")}\n`;
}

function record(type: string, address: number, data: ArrayLike<number>): string {
  const length = ADDRESS_BYTES[type] ?? 2;
  const places = Array.from({ length }, (_, at) => Math.floor(address / 256 ** (length - 1 - at)) & 0xff);
  const bytes = [length + data.length + 1, ...places, ...Array.from(data)];
  const sum = bytes.reduce((total, byte) => total + byte, 0);
  return `S${type}${[...bytes, ~sum & 0xff].map(twoDigits).join("")}`;
}

/** Reads the records of a file. Never throws. */
export function readSRecords(text: string): readonly Stretch[] | Refused {
  const stretches: Stretch[] = [];
  const lines = text.split(/\r\n|\n|\r/);
  for (const [index, whole] of lines.entries()) {
    const line = whole.trim();
    if (line === "") continue;
    const wrong = (what: string): Refused => ({ problem: `line ${index + 1}: ${what}` });
    const type = line[1] ?? "";
    const addressBytes = ADDRESS_BYTES[type];
    const bytes = addressBytes === undefined ? undefined : bytesOf(line, `S${type}`);
    if (!bytes || addressBytes === undefined) {
      return wrong("is no S-record: S, a digit and pairs of hexadecimal digits were expected");
    }
    const [length = 0] = bytes;
    if (bytes.length !== length + 1 || length < addressBytes + 1) {
      return wrong(`says that ${length} bytes follow; ${Math.max(0, bytes.length - 1)} do`);
    }
    const sum = bytes.reduce((total, byte) => total + byte, 0) & 0xff;
    const last = bytes.at(-1) ?? 0;
    if (sum !== 0xff) {
      return wrong(`its checksum is ${hex(last, 2)}; its bytes ask for ${hex((last + 0xff - sum) & 0xff, 2)}`);
    }
    const address = bytes.slice(1, 1 + addressBytes).reduce((total, byte) => total * 256 + byte, 0);
    const data = bytes.slice(1 + addressBytes, -1);
    if (type === "1" || type === "2" || type === "3") {
      stretches.push({ address, bytes: Uint8Array.from(data) });
    } else if (type === "5" || type === "6") {
      if (address !== stretches.length) return wrong(`counts ${address} data records; there are ${stretches.length}`);
    } else if (type !== "0") {
      if (lines.slice(index + 1).some((rest) => rest.trim() !== "")) return wrong("ends the file, and more follows");
      return stretches;
    }
  }
  return { problem: "its end record (S7, S8 or S9) is missing: the file is cut short" };
}
