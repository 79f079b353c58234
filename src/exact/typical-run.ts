import type { Circuit, NetId } from "../circuit/index.js";
import { NOWHERE, stage } from "../evidence/index.js";
import { fs } from "../quantity/index.js";
import { LOW as VALUE_LOW, HIGH as VALUE_HIGH, type Tape, compileTables, record } from "../simulation/index.js";
import { EITHER, HIGH, LOW } from "../timing/index.js";

/** What a board does at typical delays, with nothing from outside: which level each flip-flop is meant to take. */
export class TypicalRun {
  readonly #tapes: readonly Tape[];

  /** Throws RangeError without exactly one oscillator, NoProgress where gates feed each other without end. */
  constructor(circuit: Circuit, ticks: number) {
    const { simulator, oscillator } = stage(compileTables(circuit), {
      ...{ corner: NOWHERE, rest: "typical", seed: 1, busy: false },
    });
    this.#tapes = circuit.nets.map(({ id }) => record(simulator, id));
    simulator.run(fs(oscillator.start + ticks * oscillator.period));
  }

  /** When the net's edge of that number came, in femtoseconds; undefined after the end of the run. */
  edge(net: NetId, index: number): number | undefined {
    return this.#tapes[net]?.timesFs[index];
  }

  /** The levels that a net may have had just before a time, as a set: either where it changes at that very time. */
  levelBefore(net: NetId, time: number): number {
    const tape = this.#tapes[net];
    const level = tape?.valueAt(time - 1);
    if (level !== tape?.valueAt(time)) return EITHER;
    return level === VALUE_LOW ? LOW : level === VALUE_HIGH ? HIGH : EITHER;
  }
}
