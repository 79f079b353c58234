import type { NetId } from "../../circuit/index.js";
import type { Machine } from "../../simulation/index.js";

/** The steady clock of a bus that the board itself makes. Times in femtoseconds, of the machine's own time. */
export interface Beat {
  readonly period: number;
  /** One of its rises and the fall behind it. */
  readonly rise: number;
  readonly fall: number;
}

/** Cycles that must come as the first one says. */
const CYCLES = 32;
/** Oscillator periods in which two cycles are looked for. */
const LONGEST = 4096;

/** When a net rises and falls, where it does so steadily; undefined where it does not. The machine is left as it was. */
export function findBeat(machine: Machine, net: NetId): Beat | undefined {
  const start = machine.save();
  try {
    const rise = edgeAfter(machine, net, 1);
    const fall = rise && edgeAfter(machine, net, 0);
    const next = fall && edgeAfter(machine, net, 1);
    if (!rise || !fall || !next) return undefined;
    const beat = { period: next - rise, rise, fall };
    // Just before an edge the net is as the half before it, and just behind as the half after.
    const around = machine.period / 8;
    for (let cycle = 1; cycle <= CYCLES; cycle++) {
      for (const [edge, before] of [
        [fall, 1],
        [rise + beat.period, 0],
      ] as const) {
        const time = edge + cycle * beat.period;
        machine.run(time - around);
        if (machine.valueOf(net) !== before) return undefined;
        machine.run(time + around);
        if (machine.valueOf(net) !== 1 - before) return undefined;
      }
    }
    return beat;
  } finally {
    machine.restore(start);
  }
}

/** When the net comes to a level next, after it had the other one; the machine stands there. */
function edgeAfter(machine: Machine, net: NetId, level: 0 | 1): number | undefined {
  const step = machine.period / 4;
  let wasOther = false;
  for (let steps = 0; steps < 4 * LONGEST; steps++) {
    const before = machine.save();
    machine.run(before.now + step);
    const value = machine.valueOf(net);
    if (value !== level) wasOther = true;
    else if (wasOther) return narrowed(machine, net, level, before);
  }
  return undefined;
}

/** The moment itself, to the femtosecond: between a state from before it and a step later. */
function narrowed(machine: Machine, net: NetId, level: 0 | 1, before: ReturnType<Machine["save"]>): number {
  let [low, high] = [before.now, machine.now];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    machine.restore(before);
    machine.run(middle);
    if (machine.valueOf(net) === level) high = middle;
    else low = middle;
  }
  machine.restore(before);
  machine.run(high);
  return high;
}
