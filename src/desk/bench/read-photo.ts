import type { Corners, Photograph } from "../../bench/index.js";

/** Dots of the longer side that are kept: cells are far larger. */
const LONGEST = 800;

/** Reads a photograph as the browser does, reduced. Throws where the browser cannot read it. */
export async function readPhoto(file: File): Promise<Photograph> {
  const bitmap = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
  const [width, height] = [
    Math.max(1, Math.round(bitmap.width * scale)),
    Math.max(1, Math.round(bitmap.height * scale)),
  ];
  const context = new OffscreenCanvas(width, height).getContext("2d");
  if (!context) throw new Error("This browser cannot draw.");
  context.drawImage(bitmap, 0, 0, width, height);
  const { data } = context.getImageData(0, 0, width, height);
  const rgb = new Uint8Array(width * height * 3);
  for (let dot = 0; dot < width * height; dot++) rgb.set(data.subarray(4 * dot, 4 * dot + 3), 3 * dot);
  return { width, height, rgb };
}

/** Where the corners stand at first: a tenth in from the edges. */
export function firstCorners({ width, height }: Photograph): Corners {
  const [left, top, right, bottom] = [0.1 * width, 0.1 * height, 0.9 * width, 0.9 * height];
  return [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ];
}
