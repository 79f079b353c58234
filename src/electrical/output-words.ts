import type { NetDriver } from "./net-pins.js";

/** What drives a net, in a sentence: `U3 QA (74LS163)`, `a signal from outside (CMOS, assumed)`. */
export function outputWords({ chip, label, part, isAssumed }: NetDriver): string {
  if (part === "rail") return label;
  return chip ? `${label} (${part})` : `a signal from outside (${part}${isAssumed ? ", assumed" : ""})`;
}
