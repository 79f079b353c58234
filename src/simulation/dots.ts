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
 * Calls `visit` with each row of a picture, the moment in which the beam is in the middle of its first dot, and the time from
 * dot to dot, on the first of the lines that show it. Nothing is visited where the repeats do not come out whole.
 */
export function forEachRow(
  scan: Scan,
  displacement: Displacement,
  size: PictureSize,
  visit: (y: number, timeFs: number, stepFs: number) => void,
): void {
  const repeats = repeatsOf(scan, size);
  if (!repeats) return;
  const { across, down } = repeats;
  for (const line of scan.lines) {
    const row = line.row - displacement.rows;
    if (row < 0 || row % down !== 0 || row / down >= size.height) continue;
    const dots = scan.firstDot + displacement.dots + across / 2;
    visit(row / down, line.startFs + dots * scan.dotFs, across * scan.dotFs);
  }
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
  forEachRow(scan, displacement, size, (y, time, step) => {
    for (let x = 0; x < size.width; x++) visit(x, y, time + x * step);
  });
}
