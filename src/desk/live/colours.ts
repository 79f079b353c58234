import type { Picture } from "../../raster/index.js";

/** A picture as four bytes a dot; each colour's bits spread evenly from black to full. */
export function toRgba({ dots, depth }: Picture): Uint8ClampedArray<ArrayBuffer> {
  const table = coloursOf(depth);
  const rgba = new Uint8ClampedArray(dots.length * 4);
  const words = new Uint32Array(rgba.buffer);
  for (let dot = 0; dot < dots.length; dot++) words[dot] = table[dots[dot] as number] as number;
  return rgba;
}

/** The colour of every value of a dot, as a canvas has it: red, green, blue and full opacity from the first byte on. */
export function coloursOf(depth: Picture["depth"]): Uint32Array {
  const bits = depth.kind === "mono" ? [1, 0, 0] : [depth.red, depth.green, depth.blue];
  const [red = 0, green = 0, blue = 0] = bits;
  const count = 2 ** (red + green + blue);
  const bytes = new Uint8Array(count * 4);
  for (let value = 0; value < count; value++) {
    const parts =
      depth.kind === "mono"
        ? [value * 255, value * 255, value * 255]
        : [level(value >> (green + blue), red), level(value >> blue, green), level(value, blue)];
    bytes.set([...parts, 255], value * 4);
  }
  return new Uint32Array(bytes.buffer);
}

function level(value: number, bits: number): number {
  const most = 2 ** bits - 1;
  return most === 0 ? 0 : Math.round(((value & most) * 255) / most);
}
