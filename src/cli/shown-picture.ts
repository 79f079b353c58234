import type { Picture } from "../raster/index.js";
import type { SeenOnScreen } from "./screen-text.js";

/** What can be seen on the screen, on a picture tube where a flat one shows nothing. */
export function pictureOn(monitor: SeenOnScreen["monitor"]): Picture | undefined {
  return monitor.locked ? monitor.picture : monitor.unheld?.picture;
}

/** How a picture file is announced. */
export function pictureLine(monitor: SeenOnScreen["monitor"], path: string): string {
  return `${monitor.locked ? "The picture" : "The picture on a picture tube"}: ${path}`;
}
