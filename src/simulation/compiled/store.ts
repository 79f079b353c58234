import { TRUE } from "./bit-graph.js";
import { type Layout, layoutOf } from "./layout.js";
import { type Level, ONE, UNKNOWN_LEVEL, ZERO } from "./level.js";
import { Plane, type Vagueness, vaguenessOf } from "./signal-store.js";
import type { Signal, Structure } from "./structure.js";
import { WrongState } from "../simulator-state.js";
import type { Track } from "./recording.js";
import type { SignalBytes } from "./thorough-step.js";
import { HIGH, LOW, UNDRIVEN, UNKNOWN, type Value } from "../value.js";
import { PAGE, type WasmMemory, newMemory } from "./web-assembly.js";

/** The memory that a machine's code works on, and what lies where in it. */
export class Store implements SignalBytes {
  readonly structure: Structure;
  readonly layout: Layout;
  readonly vagueness: Vagueness;
  readonly memory: WasmMemory;
  /** Of each memory: whether anything sees what it gives out. */
  private readonly isRead: readonly boolean[];
  private view: Uint8Array;

  constructor(structure: Structure) {
    this.structure = structure;
    this.layout = layoutOf(structure);
    this.vagueness = vaguenessOf(structure);
    this.memory = newMemory(this.layout.end);
    this.view = new Uint8Array(this.memory.buffer);
    const reading = structure.drivers.flatMap((driver) => (driver.kind === "memory" ? [driver.port] : []));
    this.isRead = structure.memories.map(({ ports }) => ports.some((port) => reading.includes(port)));
  }

  /** All of it; void after the next `reserve`. */
  get bytes(): Uint8Array {
    return this.view;
  }

  /** Makes sure that there are so many bytes behind the layout. */
  reserve(bytes: number): void {
    const missing = this.layout.end + bytes - this.view.length;
    if (missing <= 0) return;
    this.memory.grow(Math.ceil(missing / PAGE));
    this.view = new Uint8Array(this.memory.buffer);
  }

  private read(signal: Signal, value: number, known: number, driven: number) {
    return {
      level: levelOfBytes(this.at(signal, value), this.at(signal, known)),
      driven: this.at(signal, driven),
    };
  }

  place(signal: Signal, plane: number): number {
    return this.layout.signals + plane * this.structure.signalCount + signal;
  }

  at(signal: Signal, plane: number): number {
    return this.view[this.place(signal, plane)] ?? 0;
  }

  set(signal: Signal, plane: number, byte: number): void {
    this.view[this.place(signal, plane)] = byte;
  }

  get(signal: Signal) {
    const rail = this.structure.circuit.nets[signal]?.rail;
    if (rail) return { level: rail === "high" ? ONE : ZERO, driven: TRUE };
    return this.read(signal, Plane.value, Plane.known, Plane.driven);
  }

  next(signal: Signal) {
    return this.read(signal, Plane.nextValue, Plane.nextKnown, Plane.nextDriven);
  }

  put(signal: Signal, { value, known }: { readonly value: number; readonly known: number }, driven: number): void {
    this.set(signal, Plane.value, value);
    this.set(signal, Plane.known, known);
    this.set(signal, Plane.driven, driven);
  }

  putValue(signal: Signal, value: Value): void {
    this.put(signal, { value: value === HIGH ? 1 : 0, known: value <= HIGH ? 1 : 0 }, value === UNDRIVEN ? 0 : 1);
  }

  valueOf(signal: Signal): Value {
    const rail = this.structure.circuit.nets[signal]?.rail;
    if (rail) return rail === "high" ? HIGH : LOW;
    const isNet = signal < this.structure.netCount;
    if (isNet && this.structure.isShared(signal) && this.at(signal, Plane.driven) === 0) return UNDRIVEN;
    return this.at(signal, Plane.known) === 0 ? UNKNOWN : this.at(signal, Plane.value) === 1 ? HIGH : LOW;
  }

  /** What is recorded of a track: what a monitor makes of a net, or whether that is known. */
  recorded(track: Track): 0 | 1 {
    const net = track < 0 ? ~track : track;
    const rail = this.structure.circuit.nets[net]?.rail;
    if (rail) return track < 0 || rail === "high" ? 1 : 0;
    const isKnown = this.at(net, Plane.known) === 1;
    return isKnown && (track < 0 || this.at(net, Plane.value) === 1) ? 1 : 0;
  }

  /** Makes the present levels what comes next, to be changed with `putNext`. */
  copyToNext(): void {
    const { signals } = this.layout;
    const count = this.structure.signalCount;
    this.view.copyWithin(signals + Plane.nextValue * count, signals, signals + Plane.nextValue * count);
  }

  putNext(signal: Signal, value: Value): void {
    this.set(signal, Plane.nextValue, value === HIGH ? 1 : 0);
    this.set(signal, Plane.nextKnown, value <= HIGH ? 1 : 0);
    this.set(signal, Plane.nextDriven, value === UNDRIVEN ? 0 : 1);
  }

  /** Whether nothing is unknown but what may be while the machine runs plainly. */
  isAllKnown(): boolean {
    const { structure, vagueness, layout } = this;
    const firstPin = structure.netCount + structure.bits.length + structure.sources.length;
    for (let signal = 0; signal < firstPin; signal++) {
      if (structure.circuit.nets[signal]?.rail || vagueness.mayBeUnknown(signal)) continue;
      if (this.at(signal, Plane.known) === 0) return false;
    }
    const isLetGo = structure.sources.some(
      ({ signal, oscillator }) => !oscillator && this.at(signal, Plane.driven) === 0,
    );
    if (isLetGo) return false;
    return layout.unknownAt.every(
      (at, memory) =>
        !this.isRead[memory] ||
        this.view.subarray(at, at + (layout.arrayBytes[memory] ?? 0)).every((byte) => byte === 0),
    );
  }

  /** Levels, memories and counts. */
  copy(): Uint8Array {
    return this.view.slice(this.layout.signals, this.layout.end);
  }

  /** Puts a copy back. Throws WrongState where it is of another circuit. */
  paste(copy: Uint8Array): void {
    if (copy.length !== this.layout.end - this.layout.signals) throw new WrongState();
    this.view.set(copy, this.layout.signals);
  }

  /** The words of a memory. */
  arrayOf(memory: number): Uint8Array {
    const at = this.layout.arrayAt[memory] ?? 0;
    return this.view.subarray(at, at + (this.layout.arrayBytes[memory] ?? 0));
  }

  /** Which bits of them are unknown. */
  unknownOf(memory: number): Uint8Array {
    const at = this.layout.unknownAt[memory] ?? 0;
    return this.view.subarray(at, at + (this.layout.arrayBytes[memory] ?? 0));
  }

  /** Writes that began at each port. */
  get writeCounts(): Uint32Array {
    return new Uint32Array(this.memory.buffer, this.layout.writeCounts, this.structure.ports.length);
  }
}

/** The level that two bytes mean. */
function levelOfBytes(value: number, known: number): Level {
  if (known === 0) return UNKNOWN_LEVEL;
  return value === 1 ? ONE : ZERO;
}
