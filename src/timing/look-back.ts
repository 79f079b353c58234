import type { CellModel, ChipModel, Model, NetModel } from "./model.js";

/** Ticks after which every change is forgotten: more than an access or a slot of a video memory lasts. */
export const LONGEST_LOOK_BACK_TICKS = 24;

/** Longer than any set-up time, hold time, pulse width or access of a fast memory on record, in fs. */
const LONGEST_REQUIREMENT = 250e6;
/** Longer than any access on record, in fs. */
const LONGEST_ACCESS = 500e6;

/**
 * For how many ticks the changes of a wave are remembered once they are over. What rests on signals from outside has very
 * many pasts: of it only as much as a requirement can look back.
 */
export function keepsOf(model: Model, cell: CellModel): number {
  const net = cell.kind === "driver" ? cell.output.net : cell.kind === "chip" ? undefined : cell.net;
  if (!net || (cell.kind === "driver" && net.drivers.length > 1) || !isOfManyPasts(model, net)) {
    return LONGEST_LOOK_BACK_TICKS;
  }
  const readsMemory = net.receivers.some(({ chip }) => chip.memory !== undefined);
  const isOutside = model.outside.some((signal) => signal.net === net);
  return ticksOf(model, readsMemory ? LONGEST_ACCESS : LONGEST_REQUIREMENT, isOutside);
}

/** For how many ticks a section remembers what it has captured: no longer than a hold time if its clock has many pasts. */
export function capturesKeptBy(model: Model, { pins }: ChipModel): number {
  const hasManyPasts = pins.some((pin) => pin.uses.length > 0 && isOfManyPasts(model, pin.net));
  return hasManyPasts ? ticksOf(model, LONGEST_REQUIREMENT, true) : LONGEST_LOOK_BACK_TICKS;
}

/** An edge from outside comes anywhere within its step. */
function ticksOf({ time, outsideStepTicks }: Model, longest: number, isOutside: boolean): number {
  const ticks = Math.ceil(longest / time.period.min) + 2 + (isOutside ? outsideStepTicks : 0);
  return Math.min(LONGEST_LOOK_BACK_TICKS, ticks);
}

function isOfManyPasts({ dependents, control, outside }: Model, net: NetModel): boolean {
  return (
    (dependents.nets.has(net.net.id) && control.nets.has(net.net.id)) || outside.some((signal) => signal.net === net)
  );
}
