import type { Reading } from "../quantity/index.js";
import type { MonitorRange } from "./monitor.js";

const EXPECTED = "lines and frames a second, such as 30-83 kHz, 50-76 Hz";

/**
 * Reads the rates that a monitor follows, as its manual has them: lines first, then frames (`30-83 kHz, 50-76 Hz`). A single
 * rate stands for a monitor that follows that one, two per cent more and less.
 */
export function parseMonitorRange(text: string): Reading<MonitorRange> {
  const number = String.raw`(\d{1,3}(?:\.\d+)?)`;
  const span = String.raw`${number}(?:\s*(?:-|–|to)\s*${number})?`;
  const match = new RegExp(String.raw`^\s*${span}\s*kHz\s*[,;/ ]\s*${span}\s*Hz\s*$`, "i").exec(text);
  if (!match) return { wrong: `'${text.slice(0, 40)}' is no range of a monitor`, expected: EXPECTED };
  const [, leastLines = "", mostLines, leastFrames = "", mostFrames] = match;
  const lineRateHz = spanOf(leastLines, mostLines, 1000);
  const fieldRateHz = spanOf(leastFrames, mostFrames, 1);
  if (lineRateHz && fieldRateHz) return { value: { lineRateHz, fieldRateHz } };
  return { wrong: `'${text.slice(0, 40)}' runs from the higher rate to the lower`, expected: EXPECTED };
}

/** How far a monitor of one rate follows, as a share. Common practice. */
const AROUND = 0.02;

function spanOf(least: string, most: string | undefined, unit: number): { min: number; max: number } | undefined {
  const from = Number(least) * unit;
  const to = most === undefined ? from : Number(most) * unit;
  if (!(from > 0) || to < from) return undefined;
  return most === undefined ? { min: from * (1 - AROUND), max: from * (1 + AROUND) } : { min: from, max: to };
}
