import { gunzipSync } from "node:zlib";
import { isPacked, largestFont } from "../loading/index.js";
import { BadInput } from "./bad-input.js";

/**
 * A font file's bytes, unpacked where they are packed with gzip (RFC 1952).
 *
 * @throws BadInput where they cannot be unpacked, or become more than any font has
 */
export function unpacked(bytes: Uint8Array, path: string): Uint8Array {
  if (!isPacked(bytes)) return bytes;
  try {
    return new Uint8Array(gunzipSync(bytes, { maxOutputLength: largestFont }));
  } catch (error) {
    const isTooLarge = error instanceof RangeError || (error as { code?: string }).code === "ERR_BUFFER_TOO_LARGE";
    const why = isTooLarge
      ? `unpacks to more than ${largestFont / 2 ** 20} MB: that is no font`
      : "is packed, and damaged";
    throw new BadInput(`${path}: ${why}`);
  }
}
