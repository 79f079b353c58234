import { encode } from "fast-png";
import { packRows } from "./pack.js";
import { type Picture, toRgb } from "./picture.js";

/** The picture as a PNG file: one bit a dot when it is black and white, else eight bits for each of red, green and blue. */
export function encodePng(picture: Picture): Uint8Array {
  const { width, height } = picture;
  if (picture.depth.kind === "mono") return encode({ width, height, depth: 1, channels: 1, data: packRows(picture) });
  return encode({ width, height, depth: 8, channels: 3, data: toRgb(picture) });
}
