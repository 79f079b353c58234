import { fits } from "../diagnose/observation.js";
import { readObservation } from "../diagnose/read-observation.js";
import type { FaultBench } from "../signature/catalogue.js";
import { type Check, explainHertz } from "./bring-up.js";

/** What a value found at a check says. */
export interface Finding {
  /** Absent where the value cannot be judged: words about what was seen. */
  readonly isRight?: boolean;
  readonly text: string;
  /** As a measurement of a pin, where it is one: `U5.14=12.5 kHz`. */
  readonly measured?: string;
}

/** Judges what somebody found at a check of bringing a board up, in a sentence: whose frequency it is, or where to look. */
export function judgeFound(bench: FaultBench, check: Check, found: string): Finding {
  const [place = ""] = check.at.split(" ");
  const pin = bench.board.find(place);
  if (!pin) return judgeVolts(check, found);
  const measured = `${place}=${found}`;
  const observation = readObservation(bench.board, measured);
  if ("problem" in observation) {
    return { text: "Write low, high, open, a frequency (12.5 kHz), a share of high (40 %), or both." };
  }
  const [usual] = bench.good.readings.at(pin.node) ?? [];
  if (!usual) return { text: "", measured };
  if (fits(observation, usual)) return { isRight: true, text: RIGHT, measured };
  const isRate = observation.kind === "frequency" && check.hertz !== undefined;
  // Where the frequency is right the share of high is not.
  const explained = isRate ? explainHertz(bench, check.hertz, observation.hertz) : undefined;
  return { isRight: false, text: explained ?? `Not ${check.expected}. ${check.otherwise}`, measured };
}

const RIGHT = "As it should be.";

/** A supply's volts lie between those of the circuit file. */
function judgeVolts({ expected, otherwise }: Check, found: string): Finding {
  const [, least, most] = /^([\d.]+) to ([\d.]+) V$/.exec(expected) ?? [];
  const [, volts] = /^\s*(-?[\d.]+)\s*V?\s*$/i.exec(found) ?? [];
  if (least === undefined || volts === undefined) return { text: "" };
  const isRight = Number(volts) >= Number(least) && Number(volts) <= Number(most);
  return { isRight, text: isRight ? RIGHT : `Not ${expected}. ${otherwise}` };
}
