import type { Chip } from "../../circuit/index.js";
import { type Behaviour, type Expression, evaluate, namesIn } from "../../parts/index.js";

/** One D flip-flop of a chip, by its pins. */
export interface FlipFlopCell {
  readonly data: string;
  readonly clock: string;
  /** Both active low. */
  readonly clear?: string;
  readonly preset?: string;
  readonly output?: string;
  readonly inverted?: string;
}

/** Plain D flip-flops of one function, and the enables of their outputs, all active low. */
export interface FlipFlops {
  readonly cells: readonly FlipFlopCell[];
  readonly enables: readonly string[];
}

/** The function as flip-flops that take in a pin at a rise of a pin and nothing else; undefined where it is more than that. */
export function flipFlopsOf({ pins, storage, outputs, memory }: Behaviour): FlipFlops | undefined {
  if (memory || storage.length === 0) return undefined;
  const enables = new Set<string>();
  const cells: FlipFlopCell[] = [];
  for (const bit of storage) {
    if (bit.kind !== "register" || bit.clock.kind !== "name" || bit.next.kind !== "name") return undefined;
    // One stage of a shift register takes in another.
    const data = bit.next.name;
    if (!pins.some(({ name }) => name === data)) return undefined;
    let own: FlipFlopCell = { data, clock: bit.clock.name };
    for (const { when, value } of bit.overrides) {
      const pin = invertedName(when);
      if (pin === undefined || value.kind !== "constant") return undefined;
      own = value.value === 0 ? { ...own, clear: pin } : { ...own, preset: pin };
    }
    for (const { pin, value, enable } of outputs) {
      if (!namesIn(value).includes(bit.name)) continue;
      const enabled = enable && invertedName(enable);
      if (enable && enabled === undefined) return undefined;
      if (enabled !== undefined) enables.add(enabled);
      // While nothing is cleared or preset.
      const shows = (level: 0 | 1) => evaluate(value, (name) => (name === bit.name ? level : 1));
      if (shows(0) === shows(1)) return undefined;
      own = shows(1) === 1 ? { ...own, output: pin } : { ...own, inverted: pin };
    }
    cells.push(own);
  }
  return { cells, enables: [...enables] };
}

function invertedName(expression: Expression): string | undefined {
  return expression.kind === "not" && expression.of.kind === "name" ? expression.of.name : undefined;
}

/** The flip-flops of a chip whose outputs somebody uses; undefined where it is none, or may let go of its outputs. */
export function usedFlipFlops({ part, nets }: Chip): readonly FlipFlopCell[] | undefined {
  const found = flipFlopsOf(part.behaviour);
  if (!found || found.enables.some((pin) => nets.get(pin)?.rail !== "low")) return undefined;
  const isUsed = ({ output, inverted }: FlipFlopCell) =>
    [output, inverted].some((pin) => pin !== undefined && nets.has(pin));
  return found.cells.filter(isUsed);
}
