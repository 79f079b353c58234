import type { Chip, Circuit, Net } from "../../circuit/index.js";
import { type Part, isMissing, levelsOf } from "../../parts/index.js";
import type { Edit } from "./edits.js";
import { conditionsFor } from "./gain.js";
import { asksForTtl } from "./passing-gates.js";

/** A net whose driver's sheet allows so many inputs for TTL levels, as those of oscillator cans do. */
export interface InputLimit {
  readonly net: Net;
  readonly most: number;
  /** Inputs on the net now; one for CMOS levels counts as all that are allowed, as picofarads count then. */
  readonly count: number;
}

export function inputLimits(circuit: Circuit): readonly InputLimit[] {
  return circuit.nets.flatMap((net): readonly InputLimit[] => {
    const [driver] = net.drivers;
    const output = driver && levelsOf(driver.chip.part, conditionsFor(circuit, driver.chip))?.output(driver.pin);
    const most = output && !isMissing(output) ? output.mostInputs : undefined;
    if (most === undefined) return [];
    const count = net.receivers.reduce((sum, { chip }) => sum + weightOf(chip.part, most), 0);
    return [{ net, most, count }];
  });
}

/** Inputs that are on such a net more than before after some edits of a circuit. */
export function inputsAdded(
  { chips }: Circuit,
  { net, most }: InputLimit,
  edits: readonly Edit[],
  partOf: (number: string, at: Chip | undefined) => Part | undefined,
): number {
  const chipOf = (ref: string) => chips.find((chip) => chip.ref === ref);
  const pins = new Map(net.receivers.map(({ chip, pin }) => [`${chip.ref} ${pin}`, chip.ref]));
  const parts = new Map<string, Part>();
  const put = (chip: string, pin: string, name: string) => {
    if (name === net.name) pins.set(`${chip} ${pin}`, chip);
    else pins.delete(`${chip} ${pin}`);
  };
  const weight = (ref: string, part: Part | undefined) => {
    const found = part ?? chipOf(ref)?.part;
    return found ? weightOf(found, most) : 0;
  };
  const before = [...pins.values()].reduce((sum, ref) => sum + weight(ref, undefined), 0);
  for (const edit of edits) {
    if (edit.kind === "part" || edit.kind === "chip") {
      const part = partOf(edit.part, chipOf(edit.chip));
      if (part) parts.set(edit.chip, part);
    }
    if (edit.kind === "pins") for (const [pin, ref] of pins) if (ref === edit.chip) pins.delete(pin);
    if (edit.kind === "pins" || edit.kind === "chip")
      for (const [pin, name] of Object.entries(edit.pins)) put(edit.chip, pin, name);
    if (edit.kind === "net") put(edit.chip, edit.pin, edit.net);
  }
  return [...pins.values()].reduce((sum, ref) => sum + weight(ref, parts.get(ref)), 0) - before;
}

function weightOf(part: Part, most: number): number {
  return asksForTtl(part) ? 1 : most;
}
