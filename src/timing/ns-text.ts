import { type Fs, inNs } from "../quantity/index.js";

/** Nanoseconds with two decimals, so that columns stand on their points: `-12.40`. A shortfall never reads as nothing. */
export function nsText(time: Fs): string {
  const text = inNs(time).toFixed(2);
  return text === "-0.00" ? (time < 0 ? "-0.01" : "0.00") : text;
}
