import type { Circuit } from "../circuit/index.js";
import { sagOf } from "./current-draw.js";
import { decoupling } from "./decoupling.js";
import { edgeRateOf, spikeSourceLine } from "./edge-rates.js";
import type { Advice, ElectricalOptions } from "./judge.js";

/** Fewer outputs than this that switch together are no matter. Common practice. */
const LEAST_TOGETHER = 6;
/** The longer of the two lengths that the source gives, in seconds. */
const SPIKE_SECONDS = 10e-9;
/** Chips that are named. */
const MOST_CHIPS = 4;

/** Chips with many outputs that switch at once: what that takes off their capacitor, and what else it does. */
export function switchingAdvice(circuit: Circuit, { outputsTogether }: ElectricalOptions): readonly Advice[] {
  if (!outputsTogether) return [];
  const { atChip } = decoupling(circuit);
  const busy = circuit.chips
    .flatMap((chip) => {
      const count = outputsTogether.get(chip.ref) ?? 0;
      const amperes = (count * (edgeRateOf(chip.part)?.spikeMilliamps ?? 0)) / 1000;
      const farads = atChip.get(chip.ref)?.farads ?? 0;
      if (count < LEAST_TOGETHER || amperes === 0 || farads === 0) return [];
      return [{ chip, count, amperes, sag: sagOf({ amperes, seconds: SPIKE_SECONDS, farads }) }];
    })
    .sort((a, b) => b.sag - a.sag || b.count - a.count);
  const [worst] = busy;
  if (!worst) return [];
  const named = busy.slice(0, MOST_CHIPS).map(({ chip, count }) => `${chip.ref} ${chip.part.number} (${count})`);
  const more = busy.length > MOST_CHIPS ? ` and ${busy.length - MOST_CHIPS} more` : "";
  return [
    {
      subject: "outputs that switch together",
      text:
        `Many outputs change within 5 ns of each other at ${named.join(", ")}${more}. At ${worst.chip.ref} that is up to ` +
        `${(worst.amperes * 1000).toFixed(0)} mA for ${SPIKE_SECONDS * 1e9} ns, which takes ${(worst.sag * 1000).toFixed(0)} mV off its ` +
        "capacitor and lifts the chip's ground against the board's: keep the capacitor's leads short, and do not let a " +
        "clock or strobe come out of the same chip.",
      source: spikeSourceLine,
    },
  ];
}
