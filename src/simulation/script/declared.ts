import type { Circuit, ExternalInput, NetId } from "../../circuit/circuit.js";
import type { Fs } from "../../quantity/index.js";
import type { Simulator } from "../simulator.js";
import { type Tape, record } from "../tape.js";
import { HIGH } from "../value.js";

/** A time that the circuit file promises of an input, and that a script does not keep. Femtoseconds. */
export interface BrokenPromise {
  readonly net: string;
  /** `steady before WR# rise`, `low time`, `repeat`. */
  readonly what: string;
  readonly promised: Fs;
  readonly kept: Fs;
  readonly at: Fs;
  readonly count: number;
}

/** Looks whether the inputs keep the times that the circuit file promises of them, on which the proof rests. */
export class PromiseWatch {
  readonly #circuit: Circuit;
  readonly #tapes = new Map<NetId, Tape>();

  constructor(simulator: Simulator) {
    this.#circuit = simulator.tables.circuit;
    for (const { net, timing } of this.#circuit.inputs) {
      this.#tape(simulator, net);
      if ("net" in timing) this.#tape(simulator, timing.net);
    }
  }

  #tape(simulator: Simulator, net: NetId): void {
    if (!this.#tapes.has(net)) this.#tapes.set(net, record(simulator, net));
  }

  /** What was not kept so far, at its worst. */
  get broken(): readonly BrokenPromise[] {
    const found = new Map<string, BrokenPromise>();
    for (const input of this.#circuit.inputs) {
      for (const { what, promised, kept, at } of this.#gaps(input)) {
        if (kept >= promised) continue;
        const net = this.#circuit.nets[input.net]?.name ?? "";
        const known = found.get(`${net} ${what}`);
        const worst = known && known.kept <= kept ? known : { net, what, promised, kept: kept as Fs, at: at as Fs };
        found.set(`${net} ${what}`, { ...worst, count: (known?.count ?? 0) + 1 });
      }
    }
    return [...found.values()];
  }

  #gaps({ net, timing }: ExternalInput): readonly Gap[] {
    const own = this.#tapes.get(net);
    if (!own) return [];
    if (timing.kind === "any time") {
      const { leastHigh, leastLow, leastRepeat } = timing;
      return [...widths(own, leastHigh, leastLow), ...repeats(own, leastRepeat)];
    }
    const reference = "net" in timing ? this.#tapes.get(timing.net) : undefined;
    if (timing.kind !== "steady around" || !reference) return [];
    const name = `${this.#circuit.nets[timing.net]?.name ?? ""} ${timing.edge}`;
    return edgesOf(reference, timing.edge).flatMap((edge): readonly Gap[] => {
      const before = own.indexAt(edge);
      const [last, next] = [own.timesFs[before], own.timesFs[before + 1]];
      return [
        ...(last === undefined
          ? []
          : [{ what: `steady before ${name}`, promised: timing.before, kept: edge - last, at: edge }]),
        ...(next === undefined
          ? []
          : [{ what: `steady after ${name}`, promised: timing.after, kept: next - edge, at: next }]),
      ];
    });
  }
}

interface Gap {
  readonly what: string;
  readonly promised: Fs;
  readonly kept: number;
  readonly at: number;
}

function widths({ timesFs, values }: Tape, leastHigh: Fs, leastLow: Fs): readonly Gap[] {
  return [...timesFs].slice(1).map((time, index) => {
    const isHigh = values[index] === HIGH;
    const kept = time - (timesFs[index] ?? 0);
    return { what: isHigh ? "high time" : "low time", promised: isHigh ? leastHigh : leastLow, kept, at: time };
  });
}

function repeats(tape: Tape, promised: Fs): readonly Gap[] {
  return (["rise", "fall"] as const).flatMap((edge) => {
    const edges = edgesOf(tape, edge);
    return edges.slice(1).map((at, index) => ({ what: "repeat", promised, kept: at - (edges[index] ?? 0), at }));
  });
}

function edgesOf({ timesFs, values }: Tape, edge: "rise" | "fall"): readonly number[] {
  return [...timesFs].filter((_, index) => (values[index] === HIGH) === (edge === "rise"));
}
