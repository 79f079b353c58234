import type { NetId } from "../../circuit/circuit.js";
import { Tape } from "../tape.js";
import { HIGH, LOW, UNKNOWN } from "../value.js";
import type { Recording } from "./recording.js";

/** What a net on record did, as a tape: its level where that is known, "unknown" where it is not. */
export function tapeOf(recording: Recording, net: NetId): Tape {
  const [level, known] = [recording.waveOf(net), recording.knownOf(net)];
  let [isHigh, isKnown, l, k] = [level.initial, known.initial, 0, 0];
  const value = () => (isKnown === 0 ? UNKNOWN : isHigh === 1 ? HIGH : LOW);
  const tape = new Tape(net, recording.from, value());
  for (;;) {
    const [nextLevel, nextKnown] = [level.timesFs[l] ?? Infinity, known.timesFs[k] ?? Infinity];
    const time = Math.min(nextLevel, nextKnown);
    if (time === Infinity) return tape;
    if (nextLevel === time) [isHigh, l] = [isHigh === 1 ? 0 : 1, l + 1];
    if (nextKnown === time) [isKnown, k] = [isKnown === 1 ? 0 : 1, k + 1];
    tape.add(time, value());
  }
}
