import type { ChipStep } from "./chip-step.js";
import type { GateModel, PinModel } from "./model.js";

/**
 * First stage of a synchroniser: the pin feeds a register whose output goes to the data input of exactly one other register
 * on the same clock net, and the asynchronous net goes to no other place.
 */
export function isSynchroniser(at: ChipStep, pin: PinModel): boolean {
  // A latch made of gates, as behind a change-over switch, reads what it holds itself.
  const own = at.step.model.loops.flatMap(({ isLatch, outputs }) => (isLatch ? outputs.map((gate) => gate.pin) : []));
  if (pin.net.receivers.filter((receiver) => !own.includes(receiver.pin)).length !== 1) return false;
  const bits = at.chip.storage.filter((bit) => bit.kind === "register" && bit.next.slots.includes(pin.slot));
  const [bit] = bits;
  if (bits.length !== 1 || !bit) return false;
  const outputs = at.chip.outputs.filter(
    (output) => output.value !== "memory" && output.value.slots.includes(bit.slot),
  );
  const receivers = outputs.flatMap((output) => output.net.receivers);
  const [next] = receivers;
  if (receivers.length !== 1 || !next) return false;
  const clock = clockNet(at.chip.gates[bit.gate], at.chip.pins);
  const second = next.chip.storage.filter((s) => s.kind === "register" && s.next.slots.includes(next.pin.slot));
  const [secondBit] = second;
  return (
    second.length === 1 &&
    !!secondBit &&
    clock !== undefined &&
    clock === clockNet(next.chip.gates[secondBit.gate], next.chip.pins)
  );
}

function clockNet(gate: GateModel | undefined, pins: readonly PinModel[]): number | undefined {
  const clocks = pins.filter((pin) => gate?.logic.slots.includes(pin.slot));
  return clocks.length === 1 ? clocks[0]?.net.net.id : undefined;
}
