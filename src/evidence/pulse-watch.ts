import { fs } from "../quantity/index.js";
import type { Simulator, Tables } from "../simulation/index.js";
import type { Verdict } from "../timing/index.js";
import type { Sighting } from "./sighting.js";

/** Looks out for pulses at the places of glitch verdicts: the shortest there is, if it is shorter than any that is meant. */
export class PulseWatch {
  readonly seen = new Map<Verdict, Sighting>();
  readonly #longest: number;

  /** A pulse shorter than `longest`, in femtoseconds, is none that the circuit makes on purpose. */
  constructor(tables: Tables, simulator: Simulator, verdicts: readonly Verdict[], longest: number) {
    this.#longest = longest;
    const pins = new Map<number, Verdict>();
    for (const verdict of verdicts) {
      const variable = tables.variables.findIndex(
        ({ chip, name, kind }) => kind === "pin" && chip.ref === verdict.chip && name === verdict.pin,
      );
      const net = tables.circuit.nets.find(({ name }) => name === verdict.net);
      if (variable >= 0) pins.set(variable, verdict);
      else if (net) simulator.observe(net.id, this.#changes(verdict));
    }
    const listeners = new Map([...pins].map(([pin, verdict]) => [pin, this.#changes(verdict)]));
    simulator.observePins(pins.keys(), (pin, time) => listeners.get(pin)?.(time));
  }

  #changes(verdict: Verdict): (time: number) => void {
    let last = -Infinity;
    let shortest = this.#longest;
    return (time) => {
      if (time - last < shortest) {
        shortest = time - last;
        this.seen.set(verdict, { from: fs(last), to: fs(time), isWorst: false });
      }
      last = time;
    };
  }
}
