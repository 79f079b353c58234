import type { Circuit, Passive } from "../circuit/index.js";

/** A capacitor between the rails. `ref` is absent where the file lists none and this is advice. */
export interface SupplyCapacitor {
  readonly ref?: string;
  readonly value: string;
}

export interface Decoupling {
  /** One for every chip, by the chip's ref. */
  readonly atChip: ReadonlyMap<string, SupplyCapacitor>;
  /** Where the supply enters the board; never empty. */
  readonly bulk: readonly SupplyCapacitor[];
}

/** Farads from which a capacitor serves the board and not a chip. */
const bulkFrom = 1e-6;

/** Texas Instruments SDYA011 (October 1996) and the layout notes of SCAS512G: 100 nF ceramic close to each supply pin. */
const advisedAtChip: SupplyCapacitor = { value: "100 nF" };

/** Common practice. */
const advisedBulk: SupplyCapacitor = { value: "47 µF" };

/**
 * Which capacitor stands at which chip: those whose note names a chip go there, the others to the remaining chips in file
 * order, and where the file lists too few, the usual values are advised.
 */
export function decoupling(circuit: Circuit): Decoupling {
  const rail = new Map(circuit.nets.map((net) => [net.name, net.rail]));
  const between = circuit.passives.filter(({ kind, nets: [a, b] }) => {
    const [one, other] = [rail.get(a), rail.get(b)];
    return kind === "capacitor" && one !== undefined && other !== undefined && one !== other;
  });
  const bulk = between.filter((part) => part.amount >= bulkFrom);
  const small = between.filter((part) => !bulk.includes(part));

  const atChip = new Map<string, SupplyCapacitor>();
  const unplaced: Passive[] = [];
  for (const part of small) {
    const words = part.note.split(/[^\w#]+/);
    const chip = circuit.chips.find(({ ref }) => words.includes(ref) && !atChip.has(ref));
    if (chip) atChip.set(chip.ref, part);
    else unplaced.push(part);
  }
  for (const { ref } of circuit.chips) {
    if (!atChip.has(ref)) atChip.set(ref, unplaced.shift() ?? advisedAtChip);
  }
  return { atChip, bulk: [...(bulk.length > 0 ? bulk : [advisedBulk]), ...unplaced] };
}
