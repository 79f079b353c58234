import type { MemorySize } from "./protocol.js";

/** A text set from the left, lines broken where they are broken, light on dark; -1 where there is no letter. */
export function dotsOfText(text: string, heightDots: number, x: number, y: number, size: MemorySize): Int32Array {
  const context = paper(size);
  context.fillStyle = "white";
  context.font = `${heightDots}px monospace`;
  context.textBaseline = "top";
  text.split("\n").forEach((line, index) => context.fillText(line, x, y + index * Math.round(heightDots * 1.2)));
  const { data } = context.getImageData(0, 0, size.width, size.height);
  const lit = size.values.at(-1) ?? 1;
  return Int32Array.from({ length: size.width * size.height }, (_, dot) => ((data[4 * dot + 3] ?? 0) > 110 ? lit : -1));
}

/**
 * Dots of an image fitted into the picture, dark around it. Levels between are shared out among neighbours (error diffusion as
 * published by Floyd and Steinberg, 1976), each of the colours by itself.
 */
export function dotsOfImage(image: ImageBitmap, size: MemorySize): Int32Array {
  const { width, height, values: possible, colours } = size;
  const context = paper(size);
  const scale = Math.min(width / image.width, height / image.height);
  const [w, h] = [image.width * scale, image.height * scale];
  context.fillStyle = "black";
  context.fillRect(0, 0, width, height);
  context.drawImage(image, (width - w) / 2, (height - h) / 2, w, h);
  const { data } = context.getImageData(0, 0, width, height);
  const palette = new Uint8Array(colours.buffer, colours.byteOffset, colours.byteLength);
  const wanted = Float32Array.from(
    { length: width * height * 3 },
    (_, at) => data[4 * Math.floor(at / 3) + (at % 3)] ?? 0,
  );
  if (possible.every((value) => isGrey(palette, value))) toLuma(wanted);
  const values = new Int32Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const dot = y * width + x;
      const value = nearest(possible, palette, wanted, dot * 3);
      values[dot] = value;
      for (let part = 0; part < 3; part++) {
        const error = (wanted[3 * dot + part] ?? 0) - (palette[4 * value + part] ?? 0);
        for (const [dx, dy, share] of spread) {
          if (x + dx < 0 || x + dx >= width || y + dy >= height) continue;
          const at = 3 * (dot + dy * width + dx) + part;
          wanted[at] = (wanted[at] ?? 0) + error * share;
        }
      }
    }
  }
  return values;
}

const spread = [
  [1, 0, 7 / 16],
  [-1, 1, 3 / 16],
  [0, 1, 5 / 16],
  [1, 1, 1 / 16],
] as const;

function paper({ width, height }: MemorySize): OffscreenCanvasRenderingContext2D {
  const context = new OffscreenCanvas(width, height).getContext("2d", { willReadFrequently: true });
  if (!context) throw new Error("This browser cannot draw.");
  return context;
}

function isGrey(palette: Uint8Array, value: number): boolean {
  const [red, green, blue] = palette.subarray(4 * value);
  return red === green && green === blue;
}

/** Luma with the weights of ITU-R BT.601, in all three parts. */
function toLuma(wanted: Float32Array): void {
  for (let at = 0; at < wanted.length; at += 3) {
    const [red = 0, green = 0, blue = 0] = wanted.subarray(at, at + 3);
    wanted.fill(0.299 * red + 0.587 * green + 0.114 * blue, at, at + 3);
  }
}

function nearest(possible: readonly number[], palette: Uint8Array, wanted: Float32Array, at: number): number {
  let [best, least] = [0, Infinity];
  for (const value of possible) {
    let distance = 0;
    for (let part = 0; part < 3; part++) distance += ((wanted[at + part] ?? 0) - (palette[4 * value + part] ?? 0)) ** 2;
    if (distance < least) [best, least] = [value, distance];
  }
  return best;
}
