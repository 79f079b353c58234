import { checkAround } from "./capture-window.js";
import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { HIGH, LOW, type LevelSet } from "./level-set.js";
import type { GateModel, PinModel, StorageModel } from "./model.js";
import { lastFirst } from "./past-changes.js";
import { isSurelyBefore } from "./sampling-order.js";
import type { Capture, Region } from "./state.js";

/**
 * A register that takes over what another one of the same chip holds, as the 595's output register does: the other's clock or
 * clear must have come a set-up time before, or surely not yet. Where both have one clock they shift as they should.
 */
export function checkChain(
  at: ChipStep,
  gate: GateModel,
  bits: readonly StorageModel[],
  edge: Open,
  record: Capture,
): void {
  const before = at.chip.storage.filter(
    (other) => at.chip.gates[other.gate] !== gate && bits.some(({ next }) => next.slots.includes(other.slot)),
  );
  for (const pin of at.chip.pins) {
    if (pin.net === edge.pin.net) continue;
    const moved = before.filter((bit) => moves(at, bit, pin));
    if (moved.length === 0) continue;
    for (const region of lastFirst(at.step, pin.net.wave)) {
      const change = { pin, region };
      if (!(region.opened || region.closed) || isSurelyBefore(at, edge, change)) continue;
      if (!moved.some((bit) => changes(at, bit, change))) continue;
      takeOver(at, change, edge, record);
      if (isSurelyBefore(at, change, edge)) break;
    }
  }
}

function takeOver(at: ChipStep, change: Open, edge: Open, record: Capture): void {
  const { pin, region } = change;
  const { born, order, settled } = region;
  if (settled) checkAround(at, change, edge.pin, record, true);
  else record.before.push({ slot: pin.slot, born, order, isRelease: false, isChecked: false });
}

function moves({ chip }: ChipStep, bit: StorageModel, { slot }: PinModel): boolean {
  return (
    (chip.gates[bit.gate]?.logic.slots.includes(slot) ?? false) ||
    bit.overrides.some(({ when }) => when.slots.includes(slot))
  );
}

/** Whether a change can clock a register or begin to override it. */
function changes(at: ChipStep, bit: StorageModel, { pin, region }: Open): boolean {
  const begins = (logic: GateModel["logic"] | undefined) =>
    logic !== undefined &&
    logic.slots.includes(pin.slot) &&
    (valueOf(at, logic, pin, region.from) & LOW) !== 0 &&
    (valueOf(at, logic, pin, region.to) & HIGH) !== 0;
  return begins(at.chip.gates[bit.gate]?.logic) || bit.overrides.some(({ when }) => begins(when));
}

function valueOf(at: ChipStep, logic: GateModel["logic"], pin: PinModel, level: Region["from"]): LevelSet {
  return logic.possible((slot) => (slot === pin.slot ? level : at.view.present(slot)));
}
