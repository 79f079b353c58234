import type { Circuit } from "../circuit/index.js";
import { sourceLine } from "../parts/index.js";
import { formatTime } from "../quantity/index.js";

/** What no verdict sees, in a sentence to stand beside every "holds". */
export const limitsInShort =
  "Not seen: ringing, crosstalk and ground bounce, jitter beyond the oscillator's tolerance, what edges shift " +
  "between families of other thresholds; a disable time ends where the output lets go, not at a level.";

/** What a verdict rests on and what it does not see, a sentence each. */
export function modelLimits(circuit: Circuit): string[] {
  const { wireDelay, build, unstatedMinimum } = circuit;
  const { fractionOfTypical } = unstatedMinimum;
  const fraction = Number((fractionOfTypical * 100).toFixed(1));
  const minimum =
    fraction === 0
      ? "Where a sheet states no least delay, zero counts."
      : `Where a sheet states no least delay, ${fraction} % of the typical one counts: the circuit file's choice, no maker's promise.`;
  return [
    minimum,
    `A wire takes ${formatTime(wireDelay.min)} to ${formatTime(wireDelay.max)} from a driver to a receiver, on ${build}.`,
    "Ringing, crosstalk and ground bounce are not part of it: short wires, a good ground and a capacitor at every chip are.",
    ...measuredSentences(circuit),
    "Jitter of the oscillator beyond its tolerance is not part of it.",
    "Delays are those at the sheet's own threshold; where families with different thresholds meet, edges shift a little.",
    "A disable time on a sheet ends where the output lets go, not where the net reaches a level.",
  ];
}

/** Each delay that the builder measured, with its limits and where they were read. */
function measuredSentences({ chips }: Circuit): string[] {
  return chips.flatMap(({ ref, part, measured = [] }) =>
    measured.map(({ from, to, change, source }) => {
      const what = `${ref} ${part.number} ${from} to ${to}, ${change}`;
      return `${what}: ${sourceLine(source)}. The builder vouches for it, and no sheet does; it narrows this chip's limits alone.`;
    }),
  );
}
