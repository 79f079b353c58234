import { type Picture, toRgb } from "../../raster/index.js";

/** A picture as four bytes a dot. */
export function toRgba({ dots, depth }: Picture): Uint8ClampedArray<ArrayBuffer> {
  const table = coloursOf(depth);
  const rgba = new Uint8ClampedArray(dots.length * 4);
  const words = new Uint32Array(rgba.buffer);
  for (let dot = 0; dot < dots.length; dot++) words[dot] = table[dots[dot] as number] as number;
  return rgba;
}

/** The colour of every value of a dot, as a canvas has it: red, green, blue and full opacity from the first byte on. */
export function coloursOf(depth: Picture["depth"]): Uint32Array {
  const count = depth.kind === "mono" ? 2 : 2 ** (depth.red + depth.green + depth.blue);
  const rgb = toRgb({ width: count, height: 1, depth, dots: Uint16Array.from({ length: count }, (_, value) => value) });
  const bytes = new Uint8Array(count * 4).fill(255);
  for (let value = 0; value < count; value++) bytes.set(rgb.subarray(3 * value, 3 * value + 3), 4 * value);
  return new Uint32Array(bytes.buffer);
}
