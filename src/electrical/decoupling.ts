import type { Chip, Circuit, Passive } from "../circuit/index.js";

/** A capacitor between the rails. `ref` is absent where the file lists none and this is advice. */
export interface SupplyCapacitor {
  readonly ref?: string;
  readonly value: string;
  readonly farads: number;
}

export interface Decoupling {
  /** One for every chip, by the chip's ref. */
  readonly atChip: ReadonlyMap<string, SupplyCapacitor>;
  /** Where the supply enters the board, of every supply; never empty. */
  readonly bulk: readonly SupplyCapacitor[];
  /** The same by the supply's name; those that stand at no chip are left out. */
  readonly bulkOf: ReadonlyMap<string, readonly SupplyCapacitor[]>;
  /** Whether the file lists any capacitor between rails. */
  readonly isStated: boolean;
}

/** Farads from which a capacitor serves the board and not a chip. */
const bulkFrom = 1e-6;

/** Texas Instruments SDYA011 (October 1996) and the layout notes of SCAS512G: 100 nF ceramic close to each supply pin. */
export const advisedAtChip: SupplyCapacitor = { value: "100 nF", farads: 1e-7 };

/** Common practice. */
export const advisedBulk: SupplyCapacitor = { value: "47 µF", farads: 47e-6 };

/**
 * Which capacitor stands at which chip: those whose note names a chip go there, the others to the remaining chips of their
 * supply in file order, and where the file lists too few, the usual values are advised.
 */
export function decoupling(circuit: Circuit): Decoupling {
  const between = supplyCapacitors(circuit);
  const bulk = between.filter(({ part }) => part.amount >= bulkFrom);
  const small = between.filter(({ part }) => part.amount < bulkFrom);

  const atChip = new Map<string, SupplyCapacitor>();
  const unplaced: PlacedCapacitor[] = [];
  for (const capacitor of small) {
    const words = capacitor.part.note.split(/[^\w#]+/);
    const chip = circuit.chips.find(({ ref }) => words.includes(ref) && !atChip.has(ref));
    if (chip && isAcross(capacitor, chip)) atChip.set(chip.ref, asSupplyCapacitor(capacitor));
    else unplaced.push(capacitor);
  }
  for (const chip of circuit.chips) {
    if (atChip.has(chip.ref)) continue;
    const next = unplaced.findIndex((capacitor) => isAcross(capacitor, chip));
    const [taken] = next < 0 ? [] : unplaced.splice(next, 1);
    atChip.set(chip.ref, taken ? asSupplyCapacitor(taken) : advisedAtChip);
  }
  return {
    atChip,
    bulk: [...(bulk.length > 0 ? bulk.map(asSupplyCapacitor) : [advisedBulk]), ...unplaced.map(asSupplyCapacitor)],
    bulkOf: new Map(
      circuit.supplies.map(({ name }) => [name, bulk.filter(({ supply }) => supply === name).map(asSupplyCapacitor)]),
    ),
    isStated: between.length > 0,
  };
}

interface PlacedCapacitor {
  readonly part: Passive;
  /** The name of the supply that it is across. */
  readonly supply: string;
}

/** Capacitors between a supply and ground. */
function supplyCapacitors({ nets, passives, supplies }: Circuit): readonly PlacedCapacitor[] {
  const main = supplies[0]?.name ?? "main";
  const rails = new Map(
    nets.map((net) => [net.name, net.rail && { rail: net.rail, supply: net.supply?.name ?? main }]),
  );
  return passives.flatMap((part) => {
    const ends = part.nets.map((net) => rails.get(net));
    const [high, low] = [ends.find((end) => end?.rail === "high"), ends.find((end) => end?.rail === "low")];
    return part.kind === "capacitor" && high && low ? [{ part, supply: high.supply }] : [];
  });
}

function isAcross({ supply }: PlacedCapacitor, chip: Chip): boolean {
  return supply === chip.supply.name;
}

function asSupplyCapacitor({ part: { ref, value, amount } }: PlacedCapacitor): SupplyCapacitor {
  return { ref, value, farads: amount };
}
