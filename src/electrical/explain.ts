import { type Measure, measure, printMeasure } from "../quantity/index.js";
import { countsAgainst, restSentence } from "../verdict/index.js";
import type { ElectricalVerdict } from "./verdict.js";

/** One line of the arithmetic as it is shown. */
export interface ElectricalAccountLine {
  readonly text: string;
  readonly working: string;
  readonly figure?: Measure;
  readonly mark: string;
  /** Number of its source in `sources`, from 1; absent where none is stated. */
  readonly source?: number;
}

/** The whole account of an electrical verdict. */
export interface ElectricalAccount {
  /** `high level COL0 LS to HC fails, short by 1.15 V`. */
  readonly heading: string;
  readonly sentences: readonly string[];
  readonly lines: readonly ElectricalAccountLine[];
  readonly sources: readonly string[];
}

/** Explains a verdict in plain words and line by line; nothing in it is computed anew. */
export function explainElectrical(verdict: ElectricalVerdict): ElectricalAccount {
  const sources: string[] = [];
  const lines = verdict.reckoning.map(({ text, working = "", figure, source = "", mark = "" }) => {
    if (source !== "" && !sources.includes(source)) sources.push(source);
    return {
      text,
      working,
      ...(figure && { figure }),
      mark,
      ...(source !== "" && { source: sources.indexOf(source) + 1 }),
    };
  });
  return { heading: headingOf(verdict), sentences: sentencesOf(verdict), lines, sources };
}

function headingOf({ name, state, margin, quantity }: ElectricalVerdict): string {
  if (margin === undefined) return `${name}: ${state}`;
  const size = printMeasure(measure(quantity, Math.abs(margin)));
  return state === "holds" ? `${name} holds with ${size} to spare` : `${name} ${state}, short by ${size}`;
}

function sentencesOf(verdict: ElectricalVerdict): readonly string[] {
  const { demand, note, remedies, restsOn, accepted, quantity } = verdict;
  const accepts = accepted && `The file accepts this down to ${printMeasure(measure(quantity, accepted.margin))}`;
  return [
    demand,
    ...(note === "" || note === demand ? [] : [note]),
    ...remedies.map((remedy, index) => (index === 0 ? `What helps: ${remedy}` : `Or: ${remedy}`)),
    ...restsOn.map((weakness) => restSentence[weakness]),
    ...(accepted
      ? [
          countsAgainst(verdict)
            ? `${accepts}; it has become worse, so that no longer counts: ${accepted.reason}`
            : `${accepts}: ${accepted.reason}`,
        ]
      : []),
  ];
}
