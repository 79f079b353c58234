import { type Chip, type Circuit, canHold } from "../circuit/index.js";
import { memoryPorts } from "../parts/index.js";
import { untimed } from "./untimed.js";
import type { Verdict } from "./verdict.js";

/** One for each net whose driver the catalogue does not describe, and for each array that two ports may work on at once. */
export function undescribedVerdicts(circuit: Circuit): readonly Verdict[] {
  return [...netVerdicts(circuit), ...circuit.chips.flatMap(portVerdict)];
}

function netVerdicts({ nets }: Circuit): readonly Verdict[] {
  return nets.flatMap((net) => {
    const pins = net.drivers.filter(({ chip, pin }) => chip.part.behaviour.undescribed.includes(pin));
    if (pins.length === 0 || net.receivers.length === 0 || net.input) return [];
    const [from, to] = [pins, net.receivers].map((list) =>
      list.map(({ chip, pin }) => `${chip.ref} ${pin}`).join(", "),
    );
    const note =
      `Nothing on record says when ${from} drives ${net.name}, so what ${to} can see of it is not judged. ` +
      `A line for ${net.name} under 'inputs' can say so.`;
    return untimed("not described", { head: "not described", item: net.name, tail: "" }, "not covered", note, {
      net: net.name,
    });
  });
}

/** Each port is judged by itself, which is not enough where one writes a cell that the other uses. */
function portVerdict(chip: Chip): readonly Verdict[] {
  const { ref, part } = chip;
  const ports = memoryPorts(part.behaviour).map(({ read, write }) => ({
    reads: canHold(chip, read),
    writes: write !== undefined && canHold(chip, write),
  }));
  const inUse = ports.filter(({ reads, writes }) => reads || writes);
  if (inUse.length < 2 || inUse.every(({ writes }) => !writes)) return [];
  const note =
    `Each port of ${ref} is judged by itself. What comes of one port's write to a cell that the other reads or writes at ` +
    "that time is not.";
  const nameParts = { head: `not described ${ref}`, item: "both ports at one cell", tail: "" };
  return [untimed("not described", nameParts, "not covered", note, { chip: ref, part: part.number })];
}
