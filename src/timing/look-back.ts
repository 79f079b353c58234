import type { CellModel, Model, NetModel, PinModel } from "./model.js";

/** Ticks after which every change is forgotten: more than an access or a slot of a video memory lasts. */
export const LONGEST_LOOK_BACK_TICKS = 24;

/** Longer than any set-up time on record, in fs. */
const LONGEST_SET_UP = 250e6;

/**
 * For how many ticks the changes of a wave are remembered once they are over. What rests on signals from outside has very
 * many pasts: of it only as much as a set-up time can be, where nothing but gates and captured pins looks at it. Clocks,
 * strobes and memories look back over pulses, periods and accesses.
 */
export function keepsOf(model: Model, cell: CellModel): number {
  const net = cell.kind === "driver" ? cell.output.net : cell.kind === "chip" ? undefined : cell.net;
  if (!net || (cell.kind === "driver" && net.drivers.length > 1)) return LONGEST_LOOK_BACK_TICKS;
  const { receivers } = net;
  if (isOfManyPasts(model, net) && receivers.every(({ pin, chip }) => isPlain(pin) && !chip.memory)) {
    return Math.min(LONGEST_LOOK_BACK_TICKS, Math.ceil(LONGEST_SET_UP / model.time.period.min) + 2);
  }
  return LONGEST_LOOK_BACK_TICKS;
}

function isPlain(pin: PinModel): boolean {
  return pin.uses.length === 0;
}

function isOfManyPasts({ dependents, control, outside }: Model, net: NetModel): boolean {
  return (
    (dependents.nets.has(net.net.id) && control.nets.has(net.net.id)) || outside.some((signal) => signal.net === net)
  );
}
