import { Unzlib } from "fflate";
import type { Refused } from "../format/memory-image.js";

/** Chunks that the dots hang on; what else there may be, such as texts and colour profiles, is left out unread. */
const NEEDED = new Set(["IHDR", "PLTE", "tRNS", "IDAT", "IEND"]);
const SIGNATURE = 8;
/** Bytes of packed data that are unpacked at a time: at most a thousand times as many come of them. */
const PIECE = 4096;
/** Channels by colour type (W3C PNG, third edition, 11.2.1). */
const CHANNELS: Readonly<Record<number, number>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };

/**
 * A PNG with nothing in it but what its dots hang on; refused where its data unpack to more than its dots take. A few hundred
 * bytes may else fill all memory.
 */
export function soundPng(bytes: Uint8Array): Uint8Array | Refused {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const kept: Uint8Array[] = [bytes.subarray(0, SIGNATURE)];
  let unpacked = 0;
  const inflate = new Unzlib((part) => (unpacked += part.length));
  const most = mostData(view);
  for (let at = SIGNATURE; at + 12 <= bytes.length;) {
    const length = view.getUint32(at);
    const type = new TextDecoder("latin1").decode(bytes.subarray(at + 4, at + 8));
    const end = at + 12 + length;
    if (end > bytes.length) return { problem: "is a picture that is cut short" };
    if (NEEDED.has(type)) kept.push(bytes.subarray(at, end));
    if (type === "IDAT") {
      for (let from = at + 8; from < end - 4; from += PIECE) {
        inflate.push(bytes.subarray(from, Math.min(from + PIECE, end - 4)));
        if (unpacked > most) return { problem: "is a damaged picture: it holds more data than its dots take" };
      }
    }
    if (type === "IEND") break;
    at = end;
  }
  const sound = new Uint8Array(kept.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of kept) {
    sound.set(part, at);
    at += part.length;
  }
  return sound;
}

/** Bytes that all rows take with their filters, interlaced or not, and some more. */
function mostData(view: DataView): number {
  const [width, height, depth, colour] = [view.getUint32(16), view.getUint32(20), view.getUint8(24), view.getUint8(25)];
  const row = Math.ceil((width * depth * (CHANNELS[colour] ?? 4)) / 8);
  // Seven passes of an interlaced picture have less than twice as many rows, and each row may end in a byte that is not full.
  return height * (row + 1) + 2 * (height + 8) * 2 + 1024;
}
