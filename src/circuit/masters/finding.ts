import type { Source } from "../../parts/index.js";
import type { MasterFinding } from "../circuit.js";
import type { GrowingChip } from "../nets.js";
import type { ArcDelays } from "./arc-delays.js";

/** What every finding about a processor has. */
export function aboutMaster(rule: MasterFinding["rule"], chip: GrowingChip, source: Source) {
  return {
    rule,
    chip: chip.ref,
    part: chip.part.number,
    pin: "",
    net: "",
    reference: "",
    source,
    missing: [],
    restsOn: [],
  } as const;
}

/** What a margin rests on that delays of chips, or only the greatest of them, and the processor's own sheet go into. */
export function restsOn(
  { restsOnAssumed, restsOnMemory }: ArcDelays,
  { fromMemory }: Source,
  which: "all" | "greatest",
): MasterFinding["restsOn"] {
  return [
    ...(restsOnAssumed && which === "all" ? (["assumed minimum"] as const) : []),
    ...(restsOnMemory || fromMemory ? (["from memory"] as const) : []),
  ];
}
