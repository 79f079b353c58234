import type { Reading } from "../signature/reading.js";
import { type Observation, OPEN_SHARE } from "./observation.js";

/** `31.47 kHz`: four digits, as a counter shows them. */
export function hertzText(hertz: number): string {
  if (hertz >= 999_950) return `${digits(hertz / 1e6)} MHz`;
  return hertz >= 999.95 ? `${digits(hertz / 1e3)} kHz` : `${digits(hertz)} Hz`;
}

function digits(value: number): string {
  const whole = Math.max(1, Math.floor(Math.log10(Math.max(value, 1))) + 1);
  return value.toFixed(Math.max(0, 4 - whole));
}

/** `62 % high`; one digit of the shorter share where it is under 1 %: `99.6 % high`, a vertical sync of two lines in 525. */
export function dutyText(duty: number): string {
  const shorter = 100 * Math.min(duty, 1 - duty);
  const places = shorter > 0 && shorter < 1 ? Math.ceil(-Math.log10(shorter)) : 0;
  return `${(100 * duty).toFixed(places)} % high`;
}

/** What an instrument shows of a reading: `31.47 kHz, 12 % high`; `low`; `open: no level`. */
export function readingText({ hertz, duty, open, fight, rings }: Reading): string {
  if (rings) return "rings faster than the clock";
  if (open > OPEN_SHARE) return "open: no level";
  const fights = fight > 0.02 ? `, outputs fight over it ${Math.round(100 * fight)} % of the time` : "";
  if (hertz < 0.5) return `${duty >= 0.5 ? "high" : "low"}${fights}`;
  return `${hertzText(hertz)}, ${dutyText(duty)}${fights}`;
}

export function observationText(observation: Observation): string {
  switch (observation.kind) {
    case "low":
    case "high":
      return observation.kind;
    case "open":
      return "open: no level";
    case "duty":
      return dutyText(observation.duty);
    case "frequency": {
      const { hertz, duty } = observation;
      return duty === undefined ? hertzText(hertz) : `${hertzText(hertz)}, ${dutyText(duty)}`;
    }
  }
}
