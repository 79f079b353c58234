import type { LitArea } from "./light.js";
import type { AxisTiming } from "./raster.js";
import type { Displacement, Scan } from "./scan.js";
import { type Waveform, firstChangeAfter } from "./waveform.js";

/** Where in a dot the video changes. */
export interface DotPhase {
  /** Mean place of the changes against the dots of the raster, in dots: after (positive) or before their edges. */
  readonly dots: number;
  /** 1 when all changes fall on the same place in a dot, 0 when anywhere: the video is then not on the raster's dots. */
  readonly sharpness: number;
}

/**
 * Finds where the changes of the video lie between the dots, as the phase adjustment of a flat screen does. `pixel` is the
 * width of the circuit's own dots in dots of the raster: the phase is found between minus and plus half of it. Undefined
 * when nothing changes within the active area.
 */
export function findPhase(scan: Scan, nets: readonly Waveform[], pixel: number): DotPhase | undefined {
  const { dotFs, firstDot, raster } = scan;
  const turn = (2 * Math.PI) / (pixel * dotFs);
  let [cosines, sines, count] = [0, 0, 0];
  for (const net of nets) {
    for (const { row, startFs } of scan.lines) {
      if (row < 0 || row >= raster.v.active) continue;
      const leftFs = startFs + firstDot * dotFs;
      // A dot before and after, since changes at the edges of the picture count too.
      const endFs = leftFs + (raster.h.active + 1) * dotFs;
      for (let change = firstChangeAfter(net, leftFs - dotFs); ; change++) {
        const time = net.timesFs[change] ?? Infinity;
        if (time > endFs) break;
        cosines += Math.cos((time - leftFs) * turn);
        sines += Math.sin((time - leftFs) * turn);
        count++;
      }
    }
  }
  if (count === 0) return undefined;
  const dots = (Math.atan2(sines, cosines) / (2 * Math.PI)) * pixel;
  return { dots, sharpness: Math.hypot(cosines, sines) / count };
}

/** A flat screen moves the picture no further than this to get all of it in. Our own choice. */
const MOST_DOTS = 16;
const MOST_ROWS = 8;
/** Only a picture that fills this much of the active area shows where its edges should be. Our own choice. */
const LEAST_FILL = 0.98;

/**
 * How a screen moves the picture so that all light falls in the active area: by the phase, and by whole dots and rows when
 * a full picture spills over on one side. A picture with dark edges gives no hold for that and stays where it is.
 */
export function findDisplacement(scan: Scan, phase: DotPhase | undefined, lit: LitArea | undefined): Displacement {
  const phaseDots = phase?.dots ?? 0;
  if (!lit) return { dots: phaseDots, rows: 0 };
  const { h, v } = scan.raster;
  const [left, right] = [Math.round(lit.left - phaseDots), Math.round(lit.right - phaseDots)];
  return {
    dots: phaseDots + spill(left, right, h, MOST_DOTS),
    rows: spill(lit.top, lit.bottom, v, MOST_ROWS),
  };
}

/** By how much light spills over the start (negative) or the end (positive) of the active area; 0 when it is not to be moved. */
function spill(start: number, end: number, { active }: AxisTiming, most: number): number {
  const over = start < 0 ? start : Math.max(end - active, 0);
  const size = end - start;
  return size <= active && size >= LEAST_FILL * active && Math.abs(over) <= most ? over : 0;
}
