import { measure, printMeasure } from "../quantity/index.js";
import { type Summary, summarise } from "../verdict/index.js";
import type { ElectricalFindings } from "./judge.js";
import type { ElectricalVerdict } from "./verdict.js";

/** Do levels, loads and supply fit? */
export function electricalSummary({ verdicts }: Pick<ElectricalFindings, "verdicts">): Summary<ElectricalVerdict> {
  return summarise(verdicts, {
    allHold: "Levels and loads fit",
    before: "Levels and loads: ",
    nothing: "Levels and loads: nothing to judge in this circuit.",
    print: ({ quantity }, margin) => printMeasure(measure(quantity, margin)),
  });
}
