import type { LitArea } from "./light.js";
import type { Lock } from "./lock.js";
import { fieldsPerFrame, linesBeforePicture, linesPerField } from "./raster.js";
import type { Scan } from "./scan.js";

/** One porch as it appears between light and sync, and as the raster gives it, both with the border. Dots or lines. */
export interface SeenPorch {
  readonly seen: number;
  readonly published: number;
}

/** The four porches. They are true when the picture is lit up to its edges; dark edges make them look longer. */
export interface SeenPorches {
  /** In dots. */
  readonly hFront: SeenPorch;
  readonly hBack: SeenPorch;
  /** In lines. */
  readonly vFront: SeenPorch;
  readonly vBack: SeenPorch;
}

/** Measures the porches from the lit area to the sync pulses of one frame. */
export function seePorches(lock: Lock, scan: Scan, lit: LitArea): SeenPorches {
  const { raster, dotFs, firstDot } = scan;
  const { h, v } = raster;
  const rowsPerLine = fieldsPerFrame(raster);
  const before = linesBeforePicture(raster);
  const pair = (seen: number, porch: number, border: number): SeenPorch => ({ seen, published: porch + border });
  return {
    hFront: pair(h.total - firstDot - lit.right, h.frontPorch, h.borderEachSide),
    hBack: pair(firstDot + lit.left - lock.h.width / dotFs, h.backPorch, h.borderEachSide),
    vFront: pair(linesPerField(raster) - before - lit.bottom / rowsPerLine, v.frontPorch, v.borderEachSide),
    vBack: pair(before + lit.top / rowsPerLine - lock.vSyncLines, v.backPorch, v.borderEachSide),
  };
}
