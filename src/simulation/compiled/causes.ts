import { type Edge, memoryPorts, namesIn, responseTo } from "../../parts/index.js";
import { causesOf } from "../../parts/causes.js";
import type { Signal, Structure } from "./structure.js";

/** A change of a signal: `2 * signal` for its rise, one more for its fall. */
export type Move = number;

export const RISE = 0;
export const FALL = 1;

export function moveOf(signal: Signal, edge: Edge): Move {
  return 2 * signal + (edge === "rise" ? RISE : FALL);
}

/** Which change may bring about which others without a further clock edge, by all that the behaviours say. */
export class CauseGraph {
  readonly structure: Structure;
  private readonly next: Move[][];

  constructor(structure: Structure) {
    this.structure = structure;
    this.next = Array.from({ length: 2 * structure.signalCount }, () => []);
    this.addStorage();
    this.addDrivers();
    for (const list of this.next) list.splice(0, list.length, ...new Set(list));
  }

  /** Every move that can follow from these, themselves included, on ways that avoid some. */
  reach(from: readonly Move[], avoid: ReadonlySet<Move> = NONE): Uint8Array {
    const reached = new Uint8Array(this.next.length);
    const open = from.filter((move) => !avoid.has(move));
    for (const move of open) reached[move] = 1;
    for (let move = open.pop(); move !== undefined; move = open.pop()) {
      for (const follower of this.next[move] ?? []) {
        if (reached[follower] === 1 || avoid.has(follower)) continue;
        reached[follower] = 1;
        open.push(follower);
      }
    }
    return reached;
  }

  private addStorage(): void {
    const { bits, signalOf } = this.structure;
    for (const { signal, chip, storage } of bits) {
      for (const { pin, edge, bit } of causesOf(chip.part.behaviour).get(storage.name) ?? []) {
        this.add(moveOf(signalOf(chip, pin), edge), moveOf(signal, bit));
      }
    }
  }

  private addDrivers(): void {
    const { drivers, ports, sources, signalOf, driversOf } = this.structure;
    for (const driver of drivers) {
      const { net } = driver;
      const isAlone = (driversOf[net] ?? []).length === 1;
      if (driver.kind === "source") {
        const signal = sources[driver.source]?.signal ?? 0;
        for (const edge of EDGES) this.addTo(moveOf(signal, edge), net, isAlone ? [edge] : EDGES);
      } else if (driver.kind === "memory") {
        for (const signal of this.readersOf(ports[driver.port]?.memory ?? 0)) {
          for (const edge of EDGES) this.addTo(moveOf(signal, edge), net, EDGES);
        }
      } else {
        const { chip, value, enable } = driver;
        for (const name of namesIn(value)) {
          const { rises, falls } = responseTo(value, name);
          const signal = signalOf(chip, name);
          const both = !isAlone || enable !== undefined;
          if (rises) for (const edge of EDGES) this.addTo(moveOf(signal, edge), net, both ? EDGES : [edge]);
          if (falls) for (const edge of EDGES) this.addTo(moveOf(signal, edge), net, both ? EDGES : [opposite(edge)]);
        }
        for (const name of enable ? namesIn(enable) : []) {
          for (const edge of EDGES) this.addTo(moveOf(signalOf(chip, name), edge), net, EDGES);
        }
      }
    }
  }

  /** Signals that can change what a memory gives out: any pin of any of its ports. */
  private readersOf(memory: number): ReadonlySet<Signal> {
    const { memories, ports, signalOf } = this.structure;
    const chip = memories[memory]?.chip;
    const signals = new Set<Signal>();
    for (const port of memories[memory]?.ports ?? []) {
      const { address = [], data = [] } = ports[port] ?? {};
      for (const signal of address) signals.add(signal);
      // What one port writes, another reads at once.
      if ((memories[memory]?.ports.length ?? 0) > 1) for (const signal of data) signals.add(signal);
    }
    for (const { read, write } of chip ? memoryPorts(chip.part.behaviour) : []) {
      for (const name of [read, ...(write ? [write] : [])].flatMap(namesIn)) {
        if (chip) signals.add(signalOf(chip, name));
      }
    }
    return signals;
  }

  private addTo(from: Move, signal: Signal, edges: readonly Edge[]): void {
    for (const edge of edges) this.add(from, moveOf(signal, edge));
  }

  private add(from: Move, to: Move): void {
    this.next[from]?.push(to);
  }
}

const NONE: ReadonlySet<Move> = new Set();
const EDGES = ["rise", "fall"] as const;

function opposite(edge: Edge): Edge {
  return edge === "rise" ? "fall" : "rise";
}
