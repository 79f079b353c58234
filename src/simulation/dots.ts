import type { Displacement, Scan } from "../raster/index.js";

/** A picture of so many dots and rows, each on a whole number of dots and lines of the raster. */
export interface PictureSize {
  readonly width: number;
  readonly height: number;
}

/** Dots and lines of the raster that show one dot of the picture; undefined where they do not come out whole. */
export function repeatsOf({ raster }: Pick<Scan, "raster">, { width, height }: PictureSize) {
  const [across, down] = [raster.h.active / width, raster.v.active / height];
  return Number.isInteger(across) && Number.isInteger(down) ? { across, down } : undefined;
}

/**
 * Calls `visit` with each dot of a picture and the moment in which the beam is in the middle of it, on the first of the
 * lines that show it. Nothing is visited where the repeats do not come out whole.
 */
export function forEachDot(
  scan: Scan,
  displacement: Displacement,
  size: PictureSize,
  visit: (x: number, y: number, timeFs: number) => void,
): void {
  const repeats = repeatsOf(scan, size);
  if (!repeats) return;
  const { across, down } = repeats;
  for (const line of scan.lines) {
    const row = line.row - displacement.rows;
    if (row < 0 || row % down !== 0 || row / down >= size.height) continue;
    for (let x = 0; x < size.width; x++) {
      const dots = scan.firstDot + displacement.dots + across * (x + 0.5);
      visit(x, row / down, line.startFs + dots * scan.dotFs);
    }
  }
}
