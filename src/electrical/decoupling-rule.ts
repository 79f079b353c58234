import type { Circuit } from "../circuit/index.js";
import { measure } from "../quantity/index.js";
import { type SupplyCapacitor, advisedAtChip, advisedBulk, decoupling } from "./decoupling.js";
import type { Advice } from "./judge.js";
import { makeVerdict } from "./make-verdict.js";
import type { ElectricalVerdict } from "./verdict.js";

/** The least that published guidance names for a chip, in farads. */
const leastAtChip = 10e-9;
const atChipSource =
  "Texas Instruments SZZA009 (November 1999), PCB design guidelines for reduced EMI: 0.1 or 0.01 µF at the chip; " +
  "SDYA011 (October 1996) and SCAS512G: 0.1 µF at the supply pin";

/** Farads. Common practice: sheets ask for 1 µF beside 100 nF at a chip, and builders put more where the supply comes in. */
const leastBulk = 10e-6;

/**
 * A capacitor at every chip, and a large one where each supply comes in, where the file lists capacitors. A file that lists
 * none says nothing about them: see `decouplingAdvice`.
 */
export function decouplingVerdicts(circuit: Circuit): readonly ElectricalVerdict[] {
  const { atChip, bulkOf, isStated } = decoupling(circuit);
  if (!isStated) return [];
  const chips = circuit.chips.map(({ ref, part }) =>
    capacitorVerdict(atChip.get(ref), leastAtChip, {
      rule: "decoupling",
      nameParts: { head: "decoupling", item: ref, tail: "" },
      chip: ref,
      part: part.number,
      demand: `A ceramic capacitor of at least 10 nF, better ${advisedAtChip.value}, close to the supply pin of ${ref}.`,
      absent: `The file lists no capacitor for ${ref}: there are fewer between the rails than chips.`,
      remedy: `${advisedAtChip.value}, ceramic, between the supply pins of ${ref}, with a note that names ${ref}`,
      source: atChipSource,
    }),
  );
  const inUse = circuit.supplies.filter(({ name }) => circuit.chips.some(({ supply }) => supply.name === name));
  const boards = inUse.map(({ name }) => {
    const [largest] = [...(bulkOf.get(name) ?? [])].sort((a, b) => b.farads - a.farads);
    const rail = circuit.supplies.length > 1 ? `the ${name} supply` : "the supply";
    return capacitorVerdict(largest, leastBulk, {
      rule: "bulk capacitor",
      nameParts: { head: "bulk capacitor", item: name, tail: "" },
      demand: `A large capacitor, at least 10 µF, where ${rail} comes in: long wires to it cannot follow sudden currents.`,
      absent: `The file lists no capacitor of 1 µF or more on ${rail}.`,
      remedy: `${advisedBulk.value}, electrolytic, where ${rail} comes onto the board`,
      source: "",
    });
  });
  return [...chips, ...boards];
}

/** What to add where the file lists no capacitor at all. */
export function decouplingAdvice(circuit: Circuit): readonly Advice[] {
  const { length } = circuit.chips;
  if (decoupling(circuit).isStated || length === 0) return [];
  const each = length === 1 ? "its supply pin" : `the supply pin of each of the ${length} chips`;
  return [
    {
      subject: "decoupling",
      text:
        `The file lists no capacitors between the rails. Put ${advisedAtChip.value}, ceramic, close to ${each}, and ` +
        `${advisedBulk.value} where the supply comes in.`,
      source: atChipSource,
    },
  ];
}

type CapacitorWords = Pick<ElectricalVerdict, "nameParts" | "demand"> &
  Partial<Pick<ElectricalVerdict, "chip" | "part">> & {
    readonly rule: "decoupling" | "bulk capacitor";
    readonly absent: string;
    readonly remedy: string;
    readonly source: string;
  };

function capacitorVerdict(found: SupplyCapacitor | undefined, least: number, words: CapacitorWords): ElectricalVerdict {
  const { absent, remedy, source, ...rest } = words;
  const stated = found?.ref === undefined ? undefined : found;
  const [required, available] = [least, stated?.farads ?? 0].map((farads) => measure("capacitance", farads * 1e15));
  const margin = (available?.amount ?? 0) - (required?.amount ?? 0);
  const holds = margin >= 0;
  return makeVerdict({
    ...rest,
    quantity: "capacitance",
    state: holds ? "holds" : "fails",
    required: required?.amount ?? 0,
    available: available?.amount ?? 0,
    margin,
    note: stated ? "" : absent,
    remedies: holds ? [] : [remedy],
    restsOn: source === "" ? ["common practice"] : [],
    reckoning: [
      ...(stated && available ? [{ text: `${stated.ref}`, figure: available, mark: "circuit file" } as const] : []),
      ...(required
        ? [
            source === ""
              ? ({ text: "least", figure: required, mark: "common practice" } as const)
              : { text: "least", figure: required, source },
          ]
        : []),
    ],
  });
}
