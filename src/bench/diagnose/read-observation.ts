import type { Board } from "../board/board.js";
import type { Observation } from "./observation.js";

/** Why a measurement cannot be read, in a sentence. */
export interface ObservationProblem {
  readonly problem: string;
}

const UNITS: Readonly<Record<string, number>> = { hz: 1, khz: 1e3, mhz: 1e6 };

/**
 * Reads a measurement: a pin, `=`, and what was found there. `U5.14=12.5 kHz`, `U5.QA=12.5 kHz 25 %`, `U2.2=low`,
 * `U2.2=open`, `U9.1=40 %`.
 */
export function readObservation(board: Board, text: string): Observation | ObservationProblem {
  const at = text.indexOf("=");
  if (at < 0) return { problem: `${text}: a pin and what was measured were expected, such as U5.14=12.5 kHz` };
  const [place, value] = [text.slice(0, at).trim(), text.slice(at + 1).trim()];
  const pin = board.find(place);
  if (!pin) return { problem: `${place}: the circuit has no such pin; write U5.14 or U5.QA` };
  const said = value.toLowerCase();
  if (said === "low" || said === "high" || said === "open") return { pin: pin.id, kind: said };
  const [, number, unit, percent] =
    /^(?:([\d.]+)\s*(hz|khz|mhz))?\s*,?\s*(?:([\d.]+)\s*%(?:\s*high)?)?$/.exec(said) ?? [];
  const duty = percent === undefined ? undefined : Number(percent) / 100;
  const isDuty = duty === undefined || (duty >= 0 && duty <= 1);
  if (number !== undefined && isDuty) {
    const hertz = Number(number) * (UNITS[unit ?? ""] ?? 1);
    if (Number.isFinite(hertz) && hertz > 0) {
      return { pin: pin.id, kind: "frequency", hertz, ...(duty !== undefined && { duty }) };
    }
  } else if (duty !== undefined && isDuty) {
    return { pin: pin.id, kind: "duty", duty };
  }
  return {
    problem: `${place}=${value}: low, high, open, a frequency (12.5 kHz) or a share of high (40 %) was expected`,
  };
}
