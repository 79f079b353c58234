import type { NetId } from "../../circuit/circuit.js";
import type { Fs } from "../../quantity/index.js";
import type { ScreenSource } from "../screen.js";
import { Tape } from "../tape.js";
import { HIGH, LOW, UNKNOWN } from "../value.js";
import type { Machine } from "./machine.js";
import type { Recording } from "./recording.js";

/** A compiled circuit as a source of what goes to the monitor. It must record the nets that are asked for. */
export class MachineScreen implements ScreenSource {
  private readonly machine: Machine;
  private readonly tapes: Tape[] = [];

  constructor(machine: Machine) {
    this.machine = machine;
  }

  get now(): number {
    return this.machine.now;
  }

  record(net: NetId): Tape {
    const tape = new Tape(net, this.now, this.machine.valueOf(net));
    this.tapes.push(tape);
    return tape;
  }

  run(until: Fs): void {
    const { machine } = this;
    const recording = machine.record();
    machine.run(until);
    for (const tape of this.tapes) addTo(tape, recording);
  }
}

/** Adds what a net did to its tape: its level where that is known, "unknown" where it is not. */
function addTo(tape: Tape, recording: Recording): void {
  const [level, known] = [recording.waveOf(tape.net), recording.knownOf(tape.net)];
  let [isHigh, isKnown, l, k] = [level.initial, known.initial, 0, 0];
  for (;;) {
    const [nextLevel, nextKnown] = [level.timesFs[l] ?? Infinity, known.timesFs[k] ?? Infinity];
    const time = Math.min(nextLevel, nextKnown);
    if (time === Infinity) return;
    if (nextLevel === time) [isHigh, l] = [isHigh === 1 ? 0 : 1, l + 1];
    if (nextKnown === time) [isKnown, k] = [isKnown === 1 ? 0 : 1, k + 1];
    tape.add(time, isKnown === 0 ? UNKNOWN : isHigh === 1 ? HIGH : LOW);
  }
}
