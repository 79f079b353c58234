import type { NoLock } from "./lock.js";

/** Something that a person should know about the signal. */
export interface Finding {
  readonly code:
    | NoLock["reason"]
    | "line rate"
    | "frame rate"
    | "lines"
    | "sync width"
    | "polarity"
    | "odd lines"
    | "glitches on sync"
    | "sync between lines"
    | "no lines in vertical sync"
    | "television timing"
    | "video off the dots"
    | "picture displaced"
    | "light in blanking"
    | "dark";
  /** What was found, with both numbers. */
  readonly what: string;
  /** What to do about it. */
  readonly todo: string;
}

/** `+3.00 %`, `-1 dots`. */
export function signed(value: number, unit: string): string {
  const text = Number.isInteger(value) ? String(value) : value.toFixed(2);
  return `${value > 0 ? "+" : ""}${text} ${unit}`;
}
