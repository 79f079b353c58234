import { EITHER, HIGH, LOW } from "../timing/level-set.js";
import type { ChipModel, Model, NetModel, PinModel, StorageModel } from "../timing/model.js";
import { levelAt, type TracedWaves } from "./traced-waves.js";

/** The memory of a circuit and the nets around it. */
export interface MemoryCircuit {
  readonly chip: ChipModel;
  readonly address: readonly NetModel[];
  readonly data: readonly NetModel[];
  /** Its selects, output enable and write strobe, as far as their nets can change. */
  readonly controls: readonly PinModel[];
  readonly write: PinModel | undefined;
  /** The clocked chip that takes the memory's data for the screen. */
  readonly capture: Capture | undefined;
}

export interface Capture {
  readonly chip: ChipModel;
  readonly bit: StorageModel;
  readonly dataPin: PinModel;
  readonly clock: PinModel;
  /** Says at which edges of the clock the data are taken. */
  readonly load: PinModel | undefined;
}

/** Undefined where the circuit has no memory, or several of which none alone can be written. */
export function memoryCircuit({ chips }: Model): MemoryCircuit | undefined {
  const memories = chips.filter(({ memory }) => memory !== undefined);
  const written = memories.filter(({ gates }) => gates.some(({ kind }) => kind === "write"));
  const [chip, second] = written.length > 0 ? written : memories;
  if (!chip?.memory || second) return undefined;
  const { memory, pins, gates, outputs } = chip;
  const strobes = gates.filter(({ kind }) => kind === "write").flatMap(({ logic }) => logic.slots);
  const controls = pins.filter(({ slot }) => memory.selects.includes(slot) || strobes.includes(slot));
  const data = outputs.map(({ net }) => net);
  return {
    chip,
    address: memory.address.flatMap((slot) => pins.find((pin) => pin.slot === slot)?.net ?? []),
    data,
    controls,
    write: controls.find(({ name, slot }) => strobes.includes(slot) && name.startsWith("W")),
    capture: captureOf(chip, data),
  };
}

/** Of the clocked chips on the data nets the one that a load pin tells when, else the one that takes most bits. */
function captureOf(memory: ChipModel, data: readonly NetModel[]): Capture | undefined {
  const found = new Map<ChipModel, Capture & { readonly bits: number }>();
  for (const net of data) {
    for (const { chip, pin } of net.receivers) {
      if (chip === memory) continue;
      const bit = chip.storage.find(({ kind, next }) => kind === "register" && next.slots.includes(pin.slot));
      const known = found.get(chip);
      if (known) found.set(chip, { ...known, bits: known.bits + 1 });
      if (known || !bit) continue;
      const clock = chip.pins.find(
        ({ slot, uses }) => uses.includes("clock") && chip.gates[bit.gate]?.logic.slots.includes(slot),
      );
      const load = chip.pins.find(
        ({ slot, net: other }) =>
          !data.includes(other) && chip.storage.filter(({ next }) => next.slots.includes(slot)).length > 2,
      );
      if (clock) found.set(chip, { chip, bit, dataPin: pin, clock, load, bits: 1 });
    }
  }
  return [...found.values()].sort((a, b) => (b.load ? 100 : 0) + b.bits - (a.load ? 100 : 0) - a.bits)[0];
}

/** The clock's edges at which the memory's data are taken: earliest and latest time of each, in fs. */
export function capturesOf({ chip, bit, dataPin, clock, load }: Capture, waves: TracedWaves) {
  const gate = chip.gates[bit.gate];
  return waves.ofNet(clock.net).changes.filter(({ to, earliest }) => {
    const rising = gate?.logic.possible((slot) => (slot === clock.slot ? to : (chip.fixed[slot] ?? LOW)));
    if (rising !== HIGH) return false;
    const levels = (slot: number) => {
      if (slot === load?.slot) return levelAt(waves.ofNet(load.net), earliest);
      return chip.fixed[slot] || EITHER;
    };
    return bit.next.dependsOn(dataPin.slot, levels);
  });
}
