import { type Missing, type Requirement, isMissing } from "../parts/index.js";
import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { HIGH, LOW, asRead } from "./level-set.js";
import type { NetModel, PinModel } from "./model.js";
import { changeBefore } from "./past-changes.js";
import type { Region } from "./state.js";
import type { Step } from "./step.js";
import { check } from "./timed-check.js";

/**
 * At pins whose edges or levels act at once (clocks, latch enables, asynchronous inputs, strobes, output enables): no
 * glitches, pulses wide enough, clock periods long enough. False where the pin has no effect.
 */
export function checkStrobe(at: ChipStep, edge: Open): boolean {
  const { pin, region } = edge;
  if (pin.uses.length === 0 || !acts(at, pin)) return false;
  if (!region.clean) {
    glitch(at.step, at.chip.chip.ref, pin.name, pin.net, region, pin.uses.join(", "));
    return true;
  }
  const { wave } = pin.net;
  const previous = changeBefore(at.step, wave, region);
  if (previous?.settled) checkWidth(at, edge, previous);
  // One that overlaps with this one may have closed before it.
  const { regions } = at.step.present(wave);
  const next = regions[regions.indexOf(region) + 1];
  if (next?.closed) checkWidth(at, { pin, region: next }, region);
  const same = pin.uses.includes("clock") && previous ? changeBefore(at.step, wave, previous) : undefined;
  if (same?.settled && same.from === region.from && isCapturing(at, pin, region)) {
    const figure = at.chip.chip.part.figures.period(pin.name);
    if (!isMissing(figure) || !hasWidth(at, pin)) {
      check(at, "clock period", "fmax", pin, pin, at.late({ pin, region: same }), at.early(edge), figure);
    }
  }
  return true;
}

/** The sync outputs must be free of glitches: a monitor locks to every edge. */
export function checkSync(step: Step, net: NetModel, region: Region): void {
  const { picture } = step.model.circuit;
  if (region.clean || !picture) return;
  if (net.net.id !== picture.hsync && net.net.id !== picture.vsync) return;
  glitch(step, "", "", net, region, "sync output");
}

function checkWidth(at: ChipStep, edge: Open, previous: Region): void {
  const { pin } = edge;
  for (const level of ["high", "low"] as const) {
    const figure = asRead(previous.to) & (level === "high" ? HIGH : LOW) ? widthFigure(at, pin, level) : undefined;
    if (!figure) continue;
    const symbol = `tw ${level}`;
    check(at, "pulse width", symbol, pin, pin, at.late({ pin, region: previous }), at.early(edge), figure);
  }
}

/** The least width that matters at this level; undefined where the pin asks for none. */
function widthFigure(at: ChipStep, pin: PinModel, level: "high" | "low"): Requirement | Missing | undefined {
  const { figures } = at.chip.chip.part;
  const present = (slot: number) => at.view.present(slot);
  const set = (slot: number) => (slot === pin.slot ? (level === "high" ? HIGH : LOW) : present(slot));
  if (pin.uses.includes("clock")) {
    const figure = figures.width(pin.name, level);
    const isCovered = !isMissing(figure) || hasWidth(at, pin) || !isMissing(figures.period(pin.name));
    return isMissing(figure) && isCovered ? undefined : figure;
  }
  const opens = at.chip.gates.some(
    (gate) => gate.kind === "latch enable" && gate.logic.slots.includes(pin.slot) && gate.logic.possible(set) & HIGH,
  );
  const overrides = at.chip.storage.some((bit) =>
    bit.overrides.some(({ when }) => when.slots.includes(pin.slot) && when.possible(set) & HIGH),
  );
  if (opens || overrides) return figures.width(pin.name, level);
  const writes = at.chip.gates.some(
    (gate) => gate.kind === "write" && gate.logic.slots.includes(pin.slot) && gate.logic.possible(set) & HIGH,
  );
  return writes ? figures.memory(pin.name.startsWith("W") ? "tWP" : "tCW") : undefined;
}

function hasWidth(at: ChipStep, pin: PinModel): boolean {
  const { figures } = at.chip.chip.part;
  return !isMissing(figures.width(pin.name, "high")) || !isMissing(figures.width(pin.name, "low"));
}

/** Whether a change at the pin can do anything, given the other pins. */
function acts(at: ChipStep, pin: PinModel): boolean {
  const present = (slot: number) => at.view.present(slot);
  const depends = (logic: { dependsOn(slot: number, sets: (slot: number) => number): boolean } | undefined) =>
    logic?.dependsOn(pin.slot, present) ?? false;
  return (
    at.chip.gates.some((gate) => depends(gate.logic)) ||
    at.chip.storage.some((bit) => bit.overrides.some(({ when }) => depends(when))) ||
    at.chip.outputs.some(
      ({ enable, value }) =>
        depends(enable) || (pin.uses.includes("latch input") && value !== "memory" && depends(value)),
    )
  );
}

function isCapturing(at: ChipStep, pin: PinModel, region: Region): boolean {
  const present = (slot: number) => at.view.present(slot);
  return at.chip.gates.some(
    (gate) =>
      gate.kind === "clock" &&
      gate.logic.slots.includes(pin.slot) &&
      (gate.logic.possible((slot) => (slot === pin.slot ? region.to : present(slot))) & HIGH) !== 0,
  );
}

function glitch(step: Step, chip: string, pin: string, net: NetModel, region: Region, use: string): void {
  const [earlier] = region.early;
  const later = region.late.at(-1);
  step.checks.push({
    rule: "glitch",
    chip,
    pin,
    net: net.net.name,
    symbol: use,
    reference: "",
    required: 0,
    available: -1,
    typical: 0,
    ...(earlier && later ? { earlier, later } : {}),
    note: "changes that may come in either order can make a pulse as short as one likes",
  });
}
