import { cName, readCArrays, writeCArray } from "./c-array.js";
import { readIntelHex, writeIntelHex } from "./intel-hex.js";
import { type MemoryImage, type Refused, imageOf, isRefused } from "./memory-image.js";
import { readSRecords, writeSRecords } from "./s-record.js";

export const formats = ["bin", "hex", "srec", "c"] as const;
export type Format = (typeof formats)[number];

const endings: Readonly<Record<string, Format>> = {
  bin: "bin",
  raw: "bin",
  rom: "bin",
  hex: "hex",
  ihx: "hex",
  ihex: "hex",
  srec: "srec",
  s19: "srec",
  s28: "srec",
  s37: "srec",
  mot: "srec",
  c: "c",
  h: "c",
};

/** The format that a file's name tells of. */
export function formatOf(fileName: string): Format | undefined {
  const ending = /\.([a-z0-9]+)$/i.exec(fileName)?.[1]?.toLowerCase() ?? "";
  return Object.hasOwn(endings, ending) ? endings[ending] : undefined;
}

/** An image as a file. A raw file holds all bytes; what is not given is 0 there. */
export function writeImage(image: MemoryImage, format: Format, name: string): string | Uint8Array {
  if (format === "hex") return writeIntelHex(image);
  if (format === "srec") return writeSRecords(image, name);
  if (format === "c") return writeCArray(image, name);
  return image.bytes;
}

/** Reads an image for a memory of so many bytes. Without a format the file's first letters tell it. Never throws. */
export function readImage(file: Uint8Array, size: number, format: Format = sniff(file)): MemoryImage | Refused {
  if (format === "bin") return imageOf([{ address: 0, bytes: file }], size);
  const text = new TextDecoder("latin1").decode(file);
  const reading = format === "hex" ? readIntelHex(text) : format === "srec" ? readSRecords(text) : readCArrays(text);
  if (isRefused(reading)) return reading;
  return reading.length > 0 ? imageOf(reading, size) : { problem: "holds no bytes" };
}

function sniff(file: Uint8Array): Format {
  const start = new TextDecoder("latin1").decode(file.subarray(0, 64)).trimStart();
  if (/^:[0-9a-f]{10}/i.test(start)) return "hex";
  return /^S[0-9][0-9a-f]{8}/i.test(start) ? "srec" : "bin";
}

export { cName };
export {
  type MemoryImage,
  type Refused,
  type Stretch,
  differenceOf,
  givenCount,
  hex,
  imageOf,
  isRefused,
  stretchesOf,
} from "./memory-image.js";
