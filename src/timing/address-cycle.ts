import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { HIGH, UNDRIVEN } from "./level-set.js";
import { changeBefore } from "./past-changes.js";
import { check } from "./timed-check.js";

/**
 * An address bit of a memory changes: before that it must have stood for a write cycle (tWC) if a write has ended since its
 * last change, else for a read cycle (tRC) if the memory shows what it reads. Where nothing drove the address there was no
 * cycle; where it may change at any time, what matters is whether the byte is captured or a cell written, which has its own
 * checks.
 */
export function checkAddressCycle(at: ChipStep, { pin, region }: Open): void {
  const { memory, outputs } = at.chip;
  if (!memory?.address.includes(pin.slot)) return;
  const last = changeBefore(at.step, pin.net.wave, region);
  if (!last?.settled || last.to & UNDRIVEN) return;
  const isWritten = at.state.captures.some(({ writeEnd, held }) => writeEnd === true && held.includes(pin.slot));
  const isRead = outputs.some(({ enable }) => enable && enable.possible((slot) => at.view.present(slot)) & HIGH);
  if (!isWritten && !isRead) return;
  const symbol = isWritten ? "tWC" : "tRC";
  const figure = at.chip.chip.part.figures.memory(symbol);
  const late = at.late({ pin, region: last });
  const early = at.early({ pin, region });
  const { time } = at.step.model;
  if (late.some((one) => early.some((other) => time.isUnrelated(one, other)))) return;
  check(at, "memory cycle", symbol, pin, pin, late, early, figure);
}
