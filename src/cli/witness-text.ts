import { type Replay, type Witness, stepValues } from "../evidence/index.js";
import { textTable, textWaves } from "../paper/index.js";
import { formatTime, fs } from "../quantity/index.js";
import { VALUE_LETTERS } from "../simulation/index.js";
import { type ChainStep, type Verdict, nsText } from "../timing/index.js";
import { paragraphs, wrapped } from "./prove-layout.js";

/** Characters that a net's wave takes. */
const WAVE_COLUMNS = 76;

/** What the board of a witness does around its moment, and what it is like. */
export function witnessText(verdict: Verdict, witness: Witness, seen: Replay): string {
  const { from, to, period, tapes } = seen;
  const waves = tapes.map(({ net, tape }) => ({
    name: net.name,
    timesFs: tape.timesFs,
    letterAt: (time: number) => VALUE_LETTERS[tape.valueAt(time)],
  }));
  const marks = [
    { at: witness.from, letter: "a" },
    { at: witness.to, letter: "b" },
  ];
  const [first, second] = placesOf(verdict, witness);
  return paragraphs([
    wrapped(headline(verdict, witness)),
    textWaves(waves, { from, to, columns: WAVE_COLUMNS }, marks),
    wrapped(
      `a: ${first}; b: ${second}, ${nsText(fs(witness.to - witness.from))} ns later. ` +
        `${formatTime(fs(to - from), 4)} from ${formatTime(from, 8)} after power-up. ` +
        "_ low, ‾ high, - undriven, ? unknown, | several changes.",
    ),
    boardTable(verdict, witness),
    wrapped(
      `Oscillator period ${formatTime(period, 6)}, high for ${formatTime(seen.high, 6)}. All other delays ` +
        `${restText(witness)}. What memories hold and what comes from outside: seed ${witness.scene.seed}.`,
    ),
  ]);
}

/** Where the two changes are, in the order in which they come. */
function placesOf(
  { chains, available, allowance = fs(0), net }: Verdict,
  { isWorst }: Witness,
): readonly [string, string] {
  const [earlier, later] = chains ? [chains.earlier.at(-1), chains.later.at(-1)].map(placeOf) : [];
  if (!earlier || !later || available === undefined) return [net, net];
  const isSwapped = available - allowance < 0 && isWorst;
  return isSwapped ? [later, earlier] : [earlier, later];
}

function placeOf(step: ChainStep | undefined): string {
  if (!step) return "the oscillator";
  return step.kind === "wire" ? step.to : `${step.chip} ${step.to}`;
}

function headline({ name, required, margin }: Verdict, { available, isWorst }: Witness): string {
  if (available === undefined || required === undefined || margin === undefined) return `${name}: this board shows it.`;
  const own = fs(available - required);
  if (margin >= 0) return `${name}: on this board ${nsText(own)} ns to spare. No board has less.`;
  const worst = isWorst ? "No board is worse" : `The bound is ${nsText(fs(-margin))} ns`;
  return `${name}: on this board short by ${nsText(fs(-own))} ns. ${worst}.`;
}

/** The delays that are set on purpose, with their limits. */
function boardTable(verdict: Verdict, witness: Witness): string {
  const rows = delaysSet(verdict, witness);
  if (rows.length === 0) return "";
  const columns = [
    { head: "ns", most: 56 },
    { head: "least to most", align: "right" },
    { head: "this board", align: "right" },
  ] as const;
  return textTable(columns, rows);
}

/** Name, limits and value of each: of a board of cases all that cases speak of, else those of the two chains. */
function delaysSet({ chains, exact }: Verdict, { scene, isWorst }: Witness): readonly (readonly string[])[] {
  if (isWorst && exact?.board) {
    const delays = exact.board.filter(({ name }) => name !== "period" && name !== "high time");
    return delays.map(({ name, value }) => [name, "", nsText(value)]);
  }
  if (!chains) return [];
  return stepValues(chains, scene.corner).map(({ step, value }) => [
    step.label,
    `${nsText(step.min)} to ${nsText(step.max)}`,
    nsText(value),
  ]);
}

function restText({ scene: { rest } }: Witness): string {
  if (rest === "typical") return "are typical";
  if (typeof rest === "string") return `are as ${rest === "latest" ? "late" : "early"} as they may be`;
  return `are at either end of their limits, by seed ${rest.seed}`;
}
