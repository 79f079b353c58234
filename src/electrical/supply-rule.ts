import type { Chip, Circuit } from "../circuit/index.js";
import { type LevelFigures, sourceLine } from "../parts/index.js";
import { measure, microvolts, printVoltRange } from "../quantity/index.js";
import { makeVerdict } from "./make-verdict.js";
import { levelsOfChip } from "./net-pins.js";
import { isRecalled } from "./recalled.js";
import type { ElectricalVerdict } from "./verdict.js";

/** Every chip is used inside the supply that its sheet is for: a verdict for each supply and part family. */
export function supplyVerdicts(circuit: Circuit): readonly ElectricalVerdict[] {
  return circuit.chips.flatMap((chip): ElectricalVerdict[] => {
    const levels = levelsOfChip(chip, circuit);
    return levels ? [supplyVerdict(chip, levels)] : [];
  });
}

function supplyVerdict({ ref, part, supply }: Chip, { supplyVolts, supplySource }: LevelFigures): ElectricalVerdict {
  const low = microvolts(supply.volts.min) - microvolts(supplyVolts.min);
  const high = microvolts(supplyVolts.max) - microvolts(supply.volts.max);
  const isLow = low <= high;
  const [required, available] = isLow ? [supplyVolts.min, supply.volts.min] : [supplyVolts.max, supply.volts.max];
  const margin = Math.min(low, high);
  const holds = margin >= 0;
  const narrow = printVoltRange({
    min: Math.max(supplyVolts.min, supply.volts.min),
    max: Math.min(supplyVolts.max, supply.volts.max),
  });
  return makeVerdict({
    rule: "supply range",
    nameParts: { head: "supply range", item: ref, tail: part.family },
    quantity: "voltage",
    symbol: "VCC",
    chip: ref,
    part: part.number,
    state: holds ? "holds" : "fails",
    required: microvolts(required),
    available: microvolts(available),
    margin,
    demand: `${ref} (${part.number}) is specified from ${printVoltRange(supplyVolts)}; the ${supply.name} supply is ${printVoltRange(supply.volts)}.`,
    note: holds ? "" : "Outside that range its sheet promises neither levels nor times.",
    remedies:
      holds || supplyVolts.min > supply.volts.max || supplyVolts.max < supply.volts.min
        ? holds
          ? []
          : ["a part for this supply"]
        : [`a supply kept inside ${narrow}, stated so in the file`],
    restsOn: isRecalled([supplySource]),
    reckoning: [
      {
        text: isLow ? "least supply of the sheet" : "greatest supply of the sheet",
        figure: measure("voltage", microvolts(required)),
        source: sourceLine(supplySource),
      },
      {
        text: isLow ? "the supply at least" : "the supply at most",
        figure: measure("voltage", microvolts(available)),
        mark: "circuit file",
      },
      { text: "margin", figure: measure("voltage", margin) },
    ],
  });
}
