import { namesIn } from "../../parts/index.js";
import { memorySignals } from "./schedule.js";
import type { Signal, Structure } from "./structure.js";

/**
 * Signals on the way to a clock, a latch enable, a clear or preset, or a memory's controls: where not only their last level
 * counts but every pulse. Nets and storage bits.
 */
export function strobesOf(structure: Structure): ReadonlySet<Signal> {
  const { bits, ports, drivers, driversOf, signalOf } = structure;
  const strobes = new Set<Signal>();
  const open: Signal[] = [];
  const add = (signal: Signal) => {
    if (strobes.has(signal)) return;
    strobes.add(signal);
    open.push(signal);
  };
  for (const { chip, storage } of bits) {
    const acting = storage.kind === "register" ? storage.clock : storage.open;
    for (const name of [acting, ...storage.overrides.map(({ when }) => when)].flatMap(namesIn))
      add(signalOf(chip, name));
  }
  for (const { chip, write } of ports) for (const name of write ? namesIn(write) : []) add(signalOf(chip, name));

  const bitOf = new Map(bits.map((bit) => [bit.signal, bit]));
  for (let signal = open.pop(); signal !== undefined; signal = open.pop()) {
    const bit = bitOf.get(signal);
    if (bit) {
      // While a latch is open, and while an override is active, what it takes goes straight through.
      const { chip, storage } = bit;
      const through = [
        ...storage.overrides.map(({ value }) => value),
        ...(storage.kind === "latch" ? [storage.next] : []),
      ];
      for (const name of through.flatMap(namesIn)) add(signalOf(chip, name));
      continue;
    }
    for (const index of driversOf[signal] ?? []) {
      const driver = drivers[index];
      if (driver?.kind === "logic") {
        const { chip, value, enable } = driver;
        for (const name of [value, ...(enable ? [enable] : [])].flatMap(namesIn)) add(signalOf(chip, name));
      } else if (driver?.kind === "memory") {
        for (const read of memorySignals(structure, ports[driver.port]?.memory ?? 0)) add(read);
      }
    }
  }
  return strobes;
}
