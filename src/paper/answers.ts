import type { NoPicture, Shown } from "../raster/index.js";
import { type ElectricalFindings, electricalSummary } from "../electrical/index.js";
import { type Proof, summary } from "../timing/index.js";
import type { VerdictState, VerdictView } from "./verdict-view.js";
import { worstFirst } from "./verdict-view.js";
import { nanoseconds } from "./verdict-table.js";
import { count, wiringTotals } from "./wiring-text.js";
import type { WiringList } from "./wiring-list.js";

/** A builder's question, its answer in a line, and where the page says more. */
export interface Answer {
  readonly question: string;
  /** Absent where nothing is judged. */
  readonly state?: VerdictState;
  readonly answer: string;
  /** Id of the section. */
  readonly section: string;
}

/** `Yes: 31.469 kHz, 59.94 Hz, which is VESA DMT 640x480.` */
export function lockAnswer(seen: Shown | NoPicture): Answer {
  const common = { question: "Will the monitor lock?", section: "lock" };
  if (!seen.locked) return { ...common, state: "fails", answer: `No: ${seen.reason}. ${seen.detail}` };
  const { lock, against } = seen;
  const rates = `${(lock.lineRateHz / 1000).toFixed(3)} kHz, ${lock.fieldRateHz.toFixed(2)} Hz`;
  const { name } = against.raster;
  if (against.meets) return { ...common, state: "holds", answer: `Yes: ${rates}, inside the tolerance of ${name}.` };
  return { ...common, state: "fails", answer: `Perhaps: ${rates} lock, but are outside the tolerance of ${name}.` };
}

/** `Yes: the least margin is 12.4 ns, set-up at U7 A.` */
export function slotAnswer(verdicts: readonly VerdictView[]): Answer {
  const common = { question: "Does every slot fit?", section: "slots" };
  const [worst] = worstFirst(verdicts);
  if (!worst) return { ...common, state: "not covered", answer: "Not known: no rule was checked." };
  const place = `${worst.rule} at ${worst.place}`;
  const number = (state: VerdictState) => verdicts.filter((verdict) => verdict.state === state).length;
  const gaps = (["not covered", "not settled"] as const)
    .filter((state) => number(state) > 0)
    .map((state) => `${count(number(state), "check")} ${state}`)
    .join(", ");
  if (worst.state === "fails") {
    const by =
      worst.margin === undefined ? "" : `, short by ${nanoseconds(Math.abs(worst.margin) as typeof worst.margin)} ns`;
    const rest = gaps === "" ? "" : `; ${gaps}`;
    const failures = number("fails") === 1 ? "1 check fails" : `${number("fails")} checks fail`;
    return {
      ...common,
      state: "fails",
      answer: `No: ${failures}, worst ${place}${by}${rest}.`,
    };
  }
  if (gaps !== "") return { ...common, state: worst.state, answer: `Not known: ${gaps}, first ${place}.` };
  const margin = worst.margin === undefined ? "" : `the least margin is ${nanoseconds(worst.margin)} ns, `;
  return { ...common, state: "holds", answer: `Yes: ${margin}${place}.` };
}

/** The proof's own answer: `Every slot fits: 91 rules at 287 places hold; ...`. */
export function proofAnswer(proof: Proof): Answer {
  const { state, answer } = summary(proof);
  return { question: "Does every slot fit?", section: "slots", state, answer };
}

/** `Levels and loads fit: 12 rules at 310 places hold; ...`. */
export function electricalFindingsAnswer(findings: ElectricalFindings): Answer {
  const { state, answer } = electricalSummary(findings);
  return { question: "Do levels and loads fit?", section: "levels", state, answer };
}

/** `A picture of 640 by 480 dots, nothing out of place.` */
export function pictureAnswer(seen: Shown | NoPicture): Answer {
  const common = { question: "What will I see?", section: "picture" };
  if (!seen.locked) return { ...common, state: "fails", answer: "No picture." };
  const { width, height } = seen.picture;
  const size = `A picture of ${width} by ${height} dots`;
  const { findings } = seen;
  if (findings.length === 0) return { ...common, state: "holds", answer: `${size}, nothing out of place.` };
  return { ...common, state: "fails", answer: `${size}, with ${count(findings.length, "finding")}.` };
}

export function wireAnswer(list: WiringList): Answer {
  return { question: "What do I wire?", answer: wiringTotals(list), section: "wiring" };
}
