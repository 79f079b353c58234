import type { Circuit, MasterFinding } from "../circuit/index.js";
import { sourceLine } from "../parts/index.js";
import { fs } from "../quantity/index.js";
import { nameOf } from "../verdict/index.js";
import { noSheetGives } from "./judge.js";
import type { Verdict } from "./verdict.js";

/** What is known of the circuit's processors by themselves: their strobes, and what nobody judges. */
export function masterVerdicts({ masters }: Circuit): readonly Verdict[] {
  return masters.flatMap(({ findings }) => findings.map(verdictOf));
}

function verdictOf(finding: MasterFinding): Verdict {
  const { rule, item, margin, source, missing, note, restsOn, ...about } = finding;
  const nameParts = { head: `${rule} ${finding.chip}`, item, tail: "" };
  return {
    ...about,
    name: nameOf(nameParts),
    nameParts,
    rule,
    symbol: "",
    ...(margin !== undefined && { required: fs(0), available: margin, margin }),
    count: 0,
    source: sourceLine(source),
    restsOn,
    missing,
    note: missing.length > 0 ? noSheetGives(missing) : note,
  };
}
