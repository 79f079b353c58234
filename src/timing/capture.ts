import { checkAround, checkBeginning } from "./capture-window.js";
import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { HIGH, LOW, UNDRIVEN, type LevelSet, isKnown } from "./level-set.js";
import type { GateModel, PinModel } from "./model.js";
import { isOf } from "./members.js";
import { leastGap } from "./moments.js";
import { lastFirst } from "./past-changes.js";
import { checkChain } from "./register-chain.js";
import { isSurelyBefore } from "./sampling-order.js";
import type { Capture, Region } from "./state.js";
import { check } from "./timed-check.js";

/** How many captures of one gate are kept for changes that come after them; more where such a change is under way. */
const KEPT_CAPTURES = 2;

/**
 * A clock rises, a latch closes, or a write ends or begins (`writeBegin`): what it captures must have been steady for the
 * set-up time, and must stay so for the hold time, which is told when the next change closes.
 */
export function capture(at: ChipStep, gate: GateModel, edge: Open, isWriteEnd?: boolean): void {
  const early = at.early(edge);
  const late = at.late(edge);
  const record: Capture = {
    gate: at.chip.gates.indexOf(gate),
    slot: edge.pin.slot,
    tick: 0,
    early,
    late,
    held: [],
    before: [],
  };
  if (gate.kind === "write") captureWrite(at, edge, record, isWriteEnd ?? true);
  else captureBits(at, gate, edge, record);
  const same = (c: Capture) => c.gate === record.gate && c.writeEnd === record.writeEnd;
  const state = at.ownState;
  const older = state.captures.filter(same);
  const kept = older.filter((c, index) => index > older.length - KEPT_CAPTURES || isAwaited(at, c));
  const isOver = (c: Capture) => record.writeEnd === true && c.gate === record.gate && c.writeEnd === false;
  state.captures = [...state.captures.filter((c) => !same(c) && !isOver(c)), ...kept, record];
}

/** Whether a change that decides about a capture has begun and is not over. */
function isAwaited(at: ChipStep, { held, before }: Capture): boolean {
  return (
    before.length > 0 ||
    at.chip.pins.some((p) => held.includes(p.slot) && at.step.present(p.net.wave).regions.some(isOpen))
  );
}

function captureBits(at: ChipStep, gate: GateModel, edge: Open, record: Capture): void {
  const sampled = sampler(at, edge);
  const around = (slot: number) => at.around(slot, edge);
  const isPin = (slot: number) => at.chip.pins.some((pin) => pin.slot === slot);
  const bits = gate.bits.filter((bit) => !bit.overrides.some(({ when }) => when.possible(around) === HIGH));
  // Which pins are read may rest on pins that change about the edge, and so are found either way.
  const found = (slot: number) => (slot !== edge.pin.slot && isPin(slot) ? around(slot) : sampled(slot));
  for (const pin of at.chip.pins) {
    if (pin === edge.pin) continue;
    const reading = bits.filter((bit) => bit.next.dependsOn(pin.slot, found));
    if (reading.length > 0) capturePin(at, pin, edge, record);
    for (const bit of bits) {
      for (const { when } of bit.overrides)
        if (when.slots.includes(pin.slot)) checkReleases(at, pin, edge, record, when);
    }
  }
  checkChain(at, gate, bits, edge, record);
}

/** As a write ends, address, data and selects must have stood for long enough; as it begins, the address. */
function captureWrite(at: ChipStep, edge: Open, record: Capture, isEnd: boolean): void {
  record.writeEnd = isEnd;
  const { memory } = at.chip;
  if (!memory) return;
  for (const pin of at.chip.pins) {
    const isSelect = memory.selects.includes(pin.slot) && pin !== edge.pin && pin.uses.includes("write strobe");
    const isEndOnly = memory.data.includes(pin.slot) || (isSelect && !memory.address.includes(pin.slot));
    if (memory.address.includes(pin.slot) || (isEnd && isEndOnly)) capturePin(at, pin, edge, record);
  }
}

/** Checks one captured pin. */
function capturePin(at: ChipStep, pin: PinModel, edge: Open, record: Capture): void {
  let before: Region | undefined;
  const after: Region[] = [];
  const level = at.sampled(pin.slot, edge, (_, region, isBefore) => {
    if (isBefore) before ??= region;
    else after.push(region);
  });
  for (const region of lastChanges(at, pin, before)) {
    const { born, order, settled, closed } = region;
    if (settled) checkAround(at, { pin, region }, edge.pin, record, true);
    if (!closed) record.before.push({ slot: pin.slot, born, order, isRelease: false, isChecked: settled });
  }
  for (const region of after) {
    if (region.settled) checkAround(at, { pin, region }, edge.pin, record, false);
    else if (region.opened) checkBeginning(at, { pin, region }, edge.pin, record);
  }
  if (!after.some((region) => region.settled && isCertain(region))) record.held.push(pin.slot);
  if (level & UNDRIVEN) checkDriven(at, pin, edge.pin);
}

/** The change given and those before it of which one may be the last, since what follows them may be no change at all. */
function lastChanges(at: ChipStep, pin: PinModel, before: Region | undefined): Region[] {
  if (!before) return [];
  const found: Region[] = [];
  for (const region of lastFirst(at.step, pin.net.wave)) {
    const next = found.at(-1);
    if (!next && region !== before) continue;
    if (next && isSurelyBefore(at, { pin, region }, { pin, region: next })) break;
    found.push(region);
    if (isCertain(region)) break;
  }
  return found;
}

/** Whether a change is sure to hold an edge. */
function isCertain({ from, to }: Region): boolean {
  return isKnown(from) && isKnown(to) && from !== to;
}

/**
 * A change has begun, and may go on for longer than captures are remembered, as that of a signal does which is steady around
 * a rare edge: what was captured before it must be held until now. Whatever else it does is told when it closes.
 */
export function beginHeld(at: ChipStep, change: Open): void {
  for (const record of at.state.captures) {
    const reference = at.chip.pins.find((p) => p.slot === record.slot);
    if (!reference || record.writeEnd === false || !record.held.includes(change.pin.slot)) continue;
    checkBeginning(at, change, reference, record);
  }
}

/** A change has closed: it is the end of the hold of whatever was captured before it. */
export function releaseHeld(at: ChipStep, change: Open): void {
  const { pin, region } = change;
  const isMeant = (one: Capture["before"][number]) => isOf(one, change);
  if (!at.state.captures.some((record) => record.held.includes(pin.slot) || record.before.some(isMeant))) return;
  for (const record of at.ownState.captures) {
    const reference = at.chip.pins.find((p) => p.slot === record.slot);
    if (!reference) continue;
    if (record.before.some((b) => isMeant(b) && b.isRelease)) {
      record.before = record.before.filter((b) => !(isMeant(b) && b.isRelease));
      checkRecovery(at, pin, reference, region, record);
    }
    const index = record.before.findIndex(isMeant);
    if (index >= 0) {
      const [known] = record.before.splice(index, 1);
      if (known?.isChecked) continue;
      checkAround(at, change, reference, record, true);
    } else if (record.held.includes(pin.slot) && !isEnding(at, record)) {
      if (isFirstChange(at, change)) record.held = record.held.filter((slot) => slot !== pin.slot);
      checkAround(at, change, reference, record, false);
    }
  }
}

/** Whether a write that has begun may be over: then its end tells what a change now means. */
function isEnding(at: ChipStep, { writeEnd, gate }: Capture): boolean {
  const slots = writeEnd === false ? (at.chip.gates[gate]?.logic.slots ?? []) : [];
  return at.chip.pins.some(({ slot, net }) => slots.includes(slot) && at.step.present(net.wave).regions.some(isOpen));
}

/** Whether no other change that has begun can come before this one: none before it is open, and it surely holds an edge. */
function isFirstChange(at: ChipStep, { pin, region }: Open): boolean {
  const { regions } = at.step.present(pin.net.wave);
  const index = regions.indexOf(region);
  return !regions.some((other, at) => at !== index && isOpen(other) && (at < index || !isCertain(region)));
}

/** Looks for releases of an override that do not surely come after the edge; those that are not over are kept. */
function checkReleases(at: ChipStep, pin: PinModel, edge: Open, record: Capture, when: GateModel["logic"]): void {
  const active = (level: LevelSet) => when.possible((slot) => (slot === pin.slot ? level : at.around(slot, edge)));
  for (const region of lastFirst(at.step, pin.net.wave)) {
    if (!region.opened && !region.closed) continue;
    const { born, order } = region;
    const [first, last] = [active(region.from), active(region.to)];
    const matters = first !== last || when.dependsOn(pin.slot, (slot) => at.around(slot, edge));
    if ((first & HIGH) !== 0 && (last & LOW) !== 0 && matters) {
      if (region.settled) checkRecovery(at, pin, edge.pin, region, record);
      else if (!record.before.some((one) => isOf(one, { pin, region }) && one.isRelease)) {
        record.before.push({ slot: pin.slot, born, order, isRelease: true, isChecked: false });
      }
    }
    if (isSurelyBefore(at, { pin, region }, edge)) return;
  }
}

/** The release of an override comes long enough before the capture, or surely after it. */
function checkRecovery(at: ChipStep, pin: PinModel, reference: PinModel, region: Region, record: Capture): void {
  const release = { pin, region };
  const after = leastGap(at.step.model.time, record.late, at.early(release));
  if (after && after.fs > 0) return;
  const figure = at.chip.chip.part.figures.recovery(pin.name, reference.name);
  check(at, "recovery", "trec", pin, reference, at.late(release), record.early, figure);
}

function checkDriven(at: ChipStep, pin: PinModel, reference: PinModel): void {
  at.step.checks.push({
    rule: "undriven",
    chip: at.chip.chip.ref,
    pin: pin.name,
    net: pin.net.net.name,
    symbol: "read",
    reference: reference.name,
    required: 0,
    available: -at.step.model.time.period.max,
    typical: -at.step.model.time.period.max,
    note: "nothing drives the net when it is read",
  });
}

function sampler(at: ChipStep, edge: Open): (slot: number) => LevelSet {
  const known = new Map<number, LevelSet>();
  return (slot) => {
    const cached = known.get(slot);
    if (cached !== undefined) return cached;
    const level = at.sampled(slot, edge);
    known.set(slot, level);
    return level;
  };
}

/** Whether a change has begun and is not over. */
function isOpen({ opened, closed }: Region): boolean {
  return opened && !closed;
}
