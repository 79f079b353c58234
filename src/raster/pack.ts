import { type Picture, dotAt } from "./picture.js";

/** How the dots of a row lie in the bytes that hold them. */
export interface Packing {
  /** Which bit of a byte is the leftmost dot. A shift register that shifts towards Q7 shows the most significant first. */
  readonly leftmost: "most significant" | "least significant";
  /** Bytes from the start of one row to that of the next; the rest of the last byte and of the row is 0. */
  readonly bytesPerRow: number;
}

/**
 * A one-bit picture as bytes, eight dots in each. The leftmost dot is the most significant bit and rows follow without a gap
 * unless `packing` says otherwise. Throws RangeError for a picture in colour, and when a row does not fit.
 */
export function packRows(picture: Picture, packing: Partial<Packing> = {}): Uint8Array {
  if (picture.depth.kind !== "mono") throw new RangeError("only a one-bit picture packs into bytes of eight dots");
  const needed = Math.ceil(picture.width / 8);
  const { leftmost = "most significant", bytesPerRow = needed } = packing;
  if (!Number.isInteger(bytesPerRow) || bytesPerRow < needed) {
    throw new RangeError(`a row of ${picture.width} dots needs ${needed} bytes, not ${bytesPerRow}`);
  }

  const bytes = new Uint8Array(bytesPerRow * picture.height);
  for (let y = 0; y < picture.height; y++) {
    for (let x = 0; x < picture.width; x++) {
      const bit = leftmost === "most significant" ? 7 - (x & 7) : x & 7;
      const index = y * bytesPerRow + (x >> 3);
      bytes[index] = (bytes[index] ?? 0) | (dotAt(picture, x, y) << bit);
    }
  }
  return bytes;
}
