import type { MonitorRange } from "../raster/index.js";
import { BadInput } from "./bad-input.js";

const form = "30-83 kHz, 50-76 Hz";

/**
 * Reads the rates that a monitor follows, as its manual has them: lines first, then frames (`30-83 kHz, 50-76 Hz`). A single
 * rate stands for a monitor that follows that one, two per cent more and less.
 *
 * @throws BadInput with one line
 */
export function readMonitorRange(text: string): MonitorRange {
  const number = String.raw`(\d{1,3}(?:\.\d+)?)`;
  const span = String.raw`${number}(?:\s*(?:-|–|to)\s*${number})?`;
  const match = new RegExp(String.raw`^\s*${span}\s*kHz\s*[,;/ ]\s*${span}\s*Hz\s*$`, "i").exec(text);
  if (!match) throw new BadInput(`--monitor ${text}: lines and frames a second were expected, such as '${form}'`);
  const [, leastLines = "", mostLines, leastFrames = "", mostFrames] = match;
  return {
    lineRateHz: spanOf(text, leastLines, mostLines, 1000),
    fieldRateHz: spanOf(text, leastFrames, mostFrames, 1),
  };
}

/** How far a monitor of one rate follows, as a share. Common practice. */
const AROUND = 0.02;

function spanOf(text: string, least: string, most: string | undefined, unit: number) {
  const from = Number(least) * unit;
  const to = most === undefined ? from : Number(most) * unit;
  if (!(from > 0) || to < from) throw new BadInput(`--monitor ${text}: a span goes from the lower rate to the higher`);
  return most === undefined ? { min: from * (1 - AROUND), max: from * (1 + AROUND) } : { min: from, max: to };
}
