import { isMisread } from "../quantity/index.js";
import { type MonitorRange, parseMonitorRange } from "../raster/index.js";
import { BadInput } from "./bad-input.js";

/**
 * Reads the rates that a monitor follows, from `--monitor`.
 *
 * @throws BadInput with one line
 */
export function readMonitorRange(text: string): MonitorRange {
  const reading = parseMonitorRange(text);
  if (!isMisread(reading)) return reading.value;
  throw new BadInput(`--monitor ${text}: ${reading.wrong}; expected ${reading.expected}`);
}
