import { makeVerdict } from "./make-verdict.js";
import type { BoardPins } from "./net-pins.js";
import type { ElectricalVerdict } from "./verdict.js";

/** One verdict for each chip whose levels no sheet on record gives: what rests on them is not judged. */
export function missingVerdicts({ withoutLevels }: BoardPins): readonly ElectricalVerdict[] {
  const chips = new Map(withoutLevels.map(({ chip }) => [chip.ref, chip]));
  return [...chips.values()].map(({ ref, part }) => {
    const own = withoutLevels.filter(({ chip }) => chip.ref === ref);
    const missing = [...new Set(own.map((one) => one.missing))].map((figure) => `${ref}: ${figure}`);
    return makeVerdict({
      rule: "level figures",
      nameParts: { head: "level figures", item: ref, tail: part.family },
      quantity: "voltage",
      chip: ref,
      part: part.number,
      state: "not covered",
      count: own.length,
      demand: `Levels and input currents of ${ref} (${part.number}) are needed at ${own.map(({ pin }) => pin).join(", ")}.`,
      note: `No sheet on record gives them, so what ${ref} drives and what it asks of its nets is not judged.`,
      remedies: [
        part.behaviour.memory
          ? "a line 'levels: 62256-70', or whichever memory on record it is like, beside its times in an own parts file"
          : "a line 'levels: 74HCT', or whichever family on record it is like, beside its figures in an own parts file",
      ],
      missing,
    });
  });
}
