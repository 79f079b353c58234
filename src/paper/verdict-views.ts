import { type ChainStep, type Verdict } from "../timing/index.js";
import type { ChainStepView, VerdictView } from "./verdict-view.js";

/** The verdicts of a proof as a page shows them. */
export function verdictViews(verdicts: readonly Verdict[]): VerdictView[] {
  return verdicts.map(verdictView);
}

function verdictView(verdict: Verdict): VerdictView {
  const { rule, symbol, state, chip, part, pin, net, required, available, margin, count, occasion, chains, nameParts } =
    verdict;
  const place = `${chip} ${pin}`.trim();
  return {
    rule: rule === "memory write" || rule === "memory cycle" ? `${rule} ${symbol}` : rule,
    state,
    place: [place, net, nameParts.item].find((words) => words !== "") ?? "the whole circuit",
    placeNote: [part, net !== place && place !== "" ? net : "", verdict.reference && `to ${verdict.reference}`]
      .filter((words) => words !== "")
      .join(", "),
    ...(required === undefined ? {} : { required }),
    ...(available === undefined ? {} : { available }),
    ...(margin === undefined ? {} : { margin }),
    count,
    moment: occasion?.text ?? "",
    launch: (chains?.earlier ?? []).map(stepView),
    capture: (chains?.later ?? []).map(stepView),
    note: noteOf(verdict),
  };
}

function stepView({ label, min, max, source, assumed, fromMemory, cancelled }: ChainStep): ChainStepView {
  return { label: cancelled ? `${label}, on both ways` : label, min, max, source, assumed, fromMemory };
}

function noteOf({ note, restsOn, accepted }: Verdict): string {
  const lapsed = accepted?.lapsed ? "It has become worse than what was accepted: " : "Accepted: ";
  return [
    note,
    restsOn.length > 0 ? `Rests on: ${restsOn.join(", ")}.` : "",
    accepted ? `${lapsed}${accepted.reason}` : "",
  ]
    .filter((words) => words !== "")
    .join(" ");
}
