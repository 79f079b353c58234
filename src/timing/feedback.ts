import type { Logic } from "./compiled-logic.js";
import { EITHER, HIGH, LOW, type LevelSet } from "./level-set.js";
import type { CellId, ChipModel, Model, OutputModel, PinModel } from "./model.js";
import type { Moment } from "./moment.js";
import { FIRST_OUTSIDE_ROOT } from "./roots.js";
import type { Open } from "./chip-view.js";
import type { Present } from "./state.js";
import { stronglyConnected } from "./strongly-connected.js";

/** One output in a loop, and the pin of its chip at which the loop comes in. */
export interface LoopOutput {
  readonly chip: ChipModel;
  readonly output: OutputModel;
  readonly pin: PinModel;
}

/** A section that is being stepped. */
interface Awaited {
  readonly step: { readonly model: Pick<Model, "loops" | "time">; present(cell: CellId): Present };
}

/** A way that leads from an output back to itself through gates, with no flip-flop and no latch in it. */
export interface Loop {
  readonly outputs: readonly LoopOutput[];
  /** Two gates, each inverting the other's output: a latch made of gates. */
  readonly isLatch: boolean;
}

/**
 * Every loop of gates without storage in it. Outputs that do not always drive are left out: a transceiver leads either way
 * and never both.
 */
export function loopsOf(chips: readonly ChipModel[]): readonly Loop[] {
  const all = chips.flatMap((chip) =>
    chip.outputs.filter((output) => alwaysDrives(chip, output)).map((output) => ({ chip, output })),
  );
  const indexOf = new Map(all.map(({ output }, index) => [output, index]));
  const readersOf = ({ output }: (typeof all)[number]) =>
    output.net.receivers.flatMap(({ chip, pin }) =>
      chip.outputs
        .filter((other) => indexOf.has(other) && other.slots.has(pin.slot))
        .map((other) => ({ chip, output: other, pin })),
    );
  const next = (node: number): number[] => {
    const from = all[node];
    return from ? readersOf(from).map(({ output }) => indexOf.get(output) ?? 0) : [];
  };
  return stronglyConnected([...all.keys()], next)
    .filter((group) => group.length > 1 || next(group[0] ?? 0).includes(group[0] ?? 0))
    .map((group) => {
      const members = new Set(group);
      const readers = group.flatMap((node) => {
        const from = all[node];
        return from ? readersOf(from) : [];
      });
      const outputs = readers.filter(({ output }) => members.has(indexOf.get(output) ?? -1));
      return { outputs, isLatch: group.length === 2 && outputs.length === 2 && outputs.every(inverts) };
    });
}

/**
 * Whether a change has been through an output of a latch of gates before. What comes back around such a latch is what it
 * holds already, unless both of its inputs let go at once. Where they come from outside at any time nobody can keep them from
 * that, and the latch hangs for a while as a flip-flop does that samples one: what looks at it is behind a synchroniser, or
 * fails for that. So it is not followed round.
 */
export function isEcho({ loops, time }: Pick<Model, "loops" | "time">, output: OutputModel, { path }: Moment): boolean {
  const latch = loops.flatMap(({ isLatch, outputs }) => (isLatch ? outputs : [])).find((one) => one.output === output);
  if (!latch || time.rootOf(path) < FIRST_OUTSIDE_ROOT) return false;
  return time.chain(path).some(({ chip, to }) => chip === latch.chip.chip.ref && to === output.pin);
}

/**
 * Whether a change, of the other gate of a latch, has come from outside and is open for nothing but the change of this gate's
 * output that waits for it: then neither goes on for the other.
 */
export function isAwaiting({ step }: Awaited, output: OutputModel, { pin, region }: Open): boolean {
  const { loops, time } = step.model;
  const gates = loops.find(({ isLatch, outputs }) => isLatch && outputs.some((one) => one.output === output))?.outputs;
  const other = gates?.find((one) => one.output.net === pin.net);
  if (!other || region.early.some(({ path }) => time.rootOf(path) < FIRST_OUTSIDE_ROOT)) return false;
  return step.present(other.output.cell).members.every(({ slot, closed }) => closed || slot === other.pin.slot);
}

/** Whether nothing can switch an output off. */
export function alwaysDrives({ fixed }: ChipModel, { enable }: OutputModel): boolean {
  return !enable || enable.possible((slot) => fixed[slot] || EITHER) === HIGH;
}

/** Whether the output never rises with the pin, whatever the other inputs are. */
function inverts({ output: { value, enable }, pin }: LoopOutput): boolean {
  if (value === "memory" || enable) return false;
  const others = value.slots.filter((slot) => slot !== pin.slot);
  return Array.from({ length: 1 << others.length }).every((_, choice) => {
    const at = (level: LevelSet) => levelAt(value, pin, level, others, choice);
    return at(HIGH) === LOW || at(LOW) === HIGH;
  });
}

function levelAt(logic: Logic, pin: PinModel, level: LevelSet, others: readonly number[], choice: number): LevelSet {
  return logic.possible((slot) => {
    if (slot === pin.slot) return level;
    const position = others.indexOf(slot);
    return position < 0 ? EITHER : (choice >> position) & 1 ? HIGH : LOW;
  });
}
