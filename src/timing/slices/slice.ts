import { bitKey, carriesData } from "../control.js";
import type { ChipModel, Model, NetModel, OutputModel, OutsideModel, PinModel } from "../model.js";

/** A pin, or an output, of a section. */
export interface PinAt {
  readonly chip: ChipModel;
  readonly pin: PinModel;
}
export interface OutputAt {
  readonly chip: ChipModel;
  readonly output: OutputModel;
}

/**
 * One bit of a bus: a net that carries data and all that it leads to at once, through buffers and open latches, each in the
 * order in which it was found. What ends at a clock or at the end of a write leads no further, for data says nothing there.
 */
export interface Slice {
  readonly nets: readonly NetModel[];
  readonly outputs: readonly OutputAt[];
  readonly pins: readonly PinAt[];
  readonly outside: readonly OutsideModel[];
}

/** More nets than this are no one bit. */
const MOST_NETS = 16;

/** The slice that begins at a net; undefined where it has no end of its own, as an address has none. */
export function sliceFrom(model: Model, first: NetModel): Slice | undefined {
  const nets: NetModel[] = [first];
  const outputs: OutputAt[] = [];
  const pins: PinAt[] = [];
  const outside: OutsideModel[] = [];
  for (const net of nets) {
    if (nets.length > MOST_NETS || !isPlainData(model, net)) return undefined;
    const signals = model.outside.filter((signal) => signal.net === net);
    if (signals.some(({ input: { timing } }) => timing.kind !== "steady around" && timing.kind !== "after")) {
      return undefined;
    }
    if (signals.length + (net.drivers.length > 0 ? 1 : 0) !== 1) return undefined;
    outside.push(...signals);
    for (const { chip, output } of net.drivers) outputs.push({ chip, output });
    for (const { chip, pin } of net.receivers) {
      pins.push({ chip, pin });
      const reached = reachedFrom(model, chip, pin);
      if (!reached) return undefined;
      for (const { net: next } of reached) if (!nets.includes(next)) nets.push(next);
    }
  }
  return { nets, outputs, pins, outside };
}

/** Whether a net carries data, is no part of the picture, and nothing outside is timed against it. */
function isPlainData(model: Model, net: NetModel): boolean {
  const { id, rail } = net.net;
  const { picture } = model.circuit;
  return (
    rail === undefined &&
    carriesData(model, net) &&
    id !== picture?.hsync &&
    id !== picture?.vsync &&
    !model.outside.some(({ input: { timing } }) => "net" in timing && timing.net === id)
  );
}

/** The outputs that a change at a pin can move at once; undefined where it does more than one bit can. */
function reachedFrom(model: Model, chip: ChipModel, pin: PinModel): readonly OutputModel[] | undefined {
  if (chip.memory?.address.includes(pin.slot) || chip.memory?.selects.includes(pin.slot)) return undefined;
  const readers = chip.storage.filter(({ next }) => next.slots.includes(pin.slot));
  if (readers.some((bit) => !isDataBit(model, chip, bit.slot))) return undefined;
  if (!pin.acts) return [];
  if (pin.uses.length > 0 || chip.memory || chip.storage.length > 1) return undefined;
  return chip.storage.length > 0 ? chip.outputs : chip.outputs.filter(({ slots }) => slots.has(pin.slot));
}

/** Whether a storage bit holds data of unknown value. */
export function isDataBit({ dependents, control }: Model, chip: ChipModel, slot: number): boolean {
  const key = bitKey(chip, slot);
  return dependents.bits.has(key) && !control.bits.has(key);
}
