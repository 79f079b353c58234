import type { Chip, Circuit, Net, Passive } from "../../circuit/index.js";
import { drawnPassives } from "./items.js";
import { jobsOf } from "./jobs.js";

/** Chips that do one job together, and the parts at their pins. */
export interface Block {
  readonly title: string;
  readonly chips: readonly Chip[];
  readonly passives: readonly Passive[];
}

/**
 * The blocks of a circuit: by the headings that its file has, if it has any above most of its chips, else by what the chips do. In the
 * order of their first chips in the file, or in that of the signal.
 */
export function blocksOf(circuit: Circuit, headings: ReadonlyMap<string, string> = new Map()): Block[] {
  const headed = circuit.chips.filter(({ ref }) => headings.has(ref)).length;
  const jobs = jobsOf(circuit);
  const isHeaded = headed * 2 > circuit.chips.length && new Set(headings.values()).size > 1;
  const titleOf = (chip: Chip) =>
    (isHeaded ? shortened(headings.get(chip.ref) ?? "") : undefined) || (jobs.get(chip) ?? "Other chips");
  const blocks = new Map<string, { chips: Chip[]; passives: Passive[] }>();
  const inOrder = isHeaded ? circuit.chips : [...jobs.keys()];
  for (const chip of inOrder) {
    const block = blocks.get(titleOf(chip));
    if (block) block.chips.push(chip);
    else blocks.set(titleOf(chip), { chips: [chip], passives: [] });
  }
  const nets = new Map(circuit.nets.map((net) => [net.name, net]));
  for (const passive of drawnPassives(circuit)) {
    const chip = chipAt(passive.nets.map((name) => nets.get(name)));
    const block = blocks.get(chip ? titleOf(chip) : "");
    if (block) block.passives.push(passive);
    else if (blocks.has("Parts by themselves")) blocks.get("Parts by themselves")?.passives.push(passive);
    else blocks.set("Parts by themselves", { chips: [], passives: [passive] });
  }
  return [...blocks].map(([title, block]) => ({ title, ...block }));
}

/** What stands before the first colon: `Clock: 25.175 MHz to the dot clock` is the clock. */
function shortened(heading: string): string {
  const [first = heading] = heading.split(/[:,;.]\s/);
  return first.trim();
}

/** The chip at a part's leg: one that drives if there is any. */
function chipAt(nets: readonly (Net | undefined)[]): Chip | undefined {
  const signals = nets.flatMap((net) => (net && net.rail === undefined ? [net] : []));
  return [...signals.flatMap(({ drivers }) => drivers), ...signals.flatMap(({ receivers }) => receivers)][0]?.chip;
}
