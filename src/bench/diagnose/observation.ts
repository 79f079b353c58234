import type { PinId } from "../board/board.js";
import type { Reading } from "../signature/reading.js";

/** What somebody measured at a pin. */
export type Observation =
  | { readonly pin: PinId; readonly kind: "low" | "high" | "open" }
  /** Rises a second, and the share of the time for which it is high, where that was measured too. */
  | { readonly pin: PinId; readonly kind: "frequency"; readonly hertz: number; readonly duty?: number }
  | { readonly pin: PinId; readonly kind: "duty"; readonly duty: number };

/** A counter is right to this share at least, and an oscilloscope's duty to this much. Our own choice. */
const RATE_TOLERANCE = 0.005;
const DUTY_TOLERANCE = 0.025;
/** What nothing drives for so much of the time is open to a probe. */
export const OPEN_SHARE = 0.9;
/** Below this a net is at rest for anybody who looks, in rises a second. */
const STILL_HERTZ = 0.5;

/** Whether a reading may be what was observed. A loop that swings may do so at any rate, or rest at any level or at none. */
export function fits(observation: Observation, { hertz, duty, open, rings }: Reading): boolean {
  if (rings) return true;
  const isStill = hertz < STILL_HERTZ;
  const isOpen = open > OPEN_SHARE;
  switch (observation.kind) {
    case "low":
      return isStill && (isOpen || duty < 0.5);
    case "high":
      return isStill && (isOpen || duty >= 0.5);
    case "open":
      return isOpen;
    case "frequency": {
      const isRate = Math.abs(hertz - observation.hertz) <= RATE_TOLERANCE * Math.max(hertz, observation.hertz) + 1;
      return (
        !isStill && isRate && (observation.duty === undefined || Math.abs(duty - observation.duty) <= DUTY_TOLERANCE)
      );
    }
    case "duty":
      return Math.abs(duty - observation.duty) <= DUTY_TOLERANCE;
  }
}

/** What an instrument would tell of a reading, as an observation. */
export function observationOf(pin: PinId, { hertz, duty, open, rings }: Reading): Observation {
  if (open > OPEN_SHARE) return { pin, kind: "open" };
  if (hertz < STILL_HERTZ && !rings) return { pin, kind: duty >= 0.5 ? "high" : "low" };
  return { pin, kind: "frequency", hertz, duty };
}

/** A name for all readings that one would write down alike. */
export function outcomeOf({ hertz, duty, open, rings }: Reading): string {
  if (rings) return "rings";
  if (open > OPEN_SHARE) return "open";
  if (hertz < STILL_HERTZ) return duty >= 0.5 ? "high" : "low";
  return `${Math.round(Math.log(hertz) / Math.log(1 + 2 * RATE_TOLERANCE))} ${Math.round(duty / (2 * DUTY_TOLERANCE))}`;
}
