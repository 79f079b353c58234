import { namesIn } from "../../parts/index.js";
import { type Bit, type BitGraph, FALSE, TRUE } from "./bit-graph.js";
import { type Level, ONE, UNKNOWN_LEVEL, ZERO } from "./level.js";
import type { Rest } from "./step-view.js";
import type { Signal, Structure } from "./structure.js";

/**
 * Where a machine keeps the levels of its signals: one byte for each signal in each of some planes. A signal whose level is
 * always known, or that is always driven, does not use those planes.
 */
export const Plane = {
  value: 0,
  known: 1,
  driven: 2,
  /** What comes from outside next: of sources. */
  nextValue: 3,
  nextKnown: 4,
  nextDriven: 5,
} as const;

export const PLANES = 6;

/** The number by which a graph names a byte of the store. */
export function inputOf(signal: Signal, plane: number): number {
  return signal * PLANES + plane;
}

export function placeOf(input: number, signalCount: number): number {
  return (input % PLANES) * signalCount + Math.floor(input / PLANES);
}

/** Which signals may be unknown or undriven while the machine runs plainly. */
export interface Vagueness {
  readonly mayBeUnknown: (signal: Signal) => boolean;
  readonly mayBeUndriven: (signal: Signal) => boolean;
}

/**
 * What may be unknown while storage, memories and inputs from outside are known: nets that several share, since they may be
 * nobody's or fought over, and what hangs on such nets, on switched oscillators and on open pins.
 */
export function vaguenessOf(structure: Structure): Vagueness {
  const { netCount, signalCount, sources, driversOf, drivers, signalOf, circuit, bits } = structure;
  const undriven = new Set<Signal>();
  for (const { signal, oscillator } of sources) if (oscillator?.enable) undriven.add(signal);
  const unknown = new Set<Signal>(undriven);
  const firstPin = netCount + bits.length + sources.length;
  for (let pin = firstPin; pin < signalCount; pin++) unknown.add(pin);
  for (let net = 0; net < netCount; net++) {
    if (circuit.nets[net]?.rail) continue;
    const own = (driversOf[net] ?? []).map((index) => drivers[index]);
    const [only] = own;
    const isSure =
      own.length === 1 &&
      (only?.kind === "source"
        ? !undriven.has(sources[only.source]?.signal ?? 0)
        : only?.kind === "logic" && only.enable === undefined);
    if (isSure) continue;
    undriven.add(net);
    unknown.add(net);
  }
  for (let grew = true; grew;) {
    grew = false;
    for (const driver of drivers) {
      if (driver.kind !== "logic" || unknown.has(driver.net)) continue;
      const { chip, value } = driver;
      if (!namesIn(value).some((name) => unknown.has(signalOf(chip, name)))) continue;
      unknown.add(driver.net);
      grew = true;
    }
  }
  return { mayBeUnknown: (signal) => unknown.has(signal), mayBeUndriven: (signal) => undriven.has(signal) };
}

/** The rest that the store holds, as inputs of a graph. */
export function storedRest(graph: BitGraph, structure: Structure, vagueness: Vagueness | "all"): Rest {
  const { netCount, signalCount, circuit, bits, sources, memories, isShared } = structure;
  const firstPin = netCount + bits.length + sources.length;
  const levels: Level[] = [];
  const driven: Bit[] = [];
  for (let signal = 0; signal < signalCount; signal++) {
    const rail = signal < netCount ? circuit.nets[signal]?.rail : undefined;
    if (rail || signal >= firstPin) {
      levels.push(rail ? (rail === "high" ? ONE : ZERO) : UNKNOWN_LEVEL);
      driven.push(rail ? TRUE : FALSE);
      continue;
    }
    const value = graph.input(inputOf(signal, Plane.value));
    const mayBeUnknown = vagueness === "all" || vagueness.mayBeUnknown(signal);
    levels.push({ value, known: mayBeUnknown ? graph.input(inputOf(signal, Plane.known)) : TRUE });
    const isSource = signal >= netCount + bits.length;
    const canBeUndriven = isSource || (signal < netCount && isShared(signal));
    const mayBeUndriven = canBeUndriven && (vagueness === "all" || vagueness.mayBeUndriven(signal));
    driven.push(mayBeUndriven ? graph.input(inputOf(signal, Plane.driven)) : TRUE);
  }
  return { levels, driven, arrays: memories.map(() => 0) };
}
