import { CELLS_HIGH, CELLS_WIDE } from "../bench/index.js";
import { type Picture, blackPicture } from "../raster/index.js";

/** The cells of a screen, red, green and blue of 0 to 255 each, as a picture; each cell is a square of `zoom` dots. */
export function lookPicture(cells: Uint8Array, zoom: number): Picture {
  const picture = blackPicture(CELLS_WIDE * zoom, CELLS_HIGH * zoom, { kind: "colour", red: 3, green: 3, blue: 3 });
  picture.dots.forEach((_, dot) => {
    const [x, y] = [dot % picture.width, Math.floor(dot / picture.width)];
    const cell = (Math.floor(y / zoom) * CELLS_WIDE + Math.floor(x / zoom)) * 3;
    picture.dots[dot] = [0, 1, 2].reduce((bits, colour) => bits * 8 + ((cells[cell + colour] ?? 0) >> 5), 0);
  });
  return picture;
}
