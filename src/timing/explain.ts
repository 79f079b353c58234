import { type Fs, fs } from "../quantity/index.js";
import { certificateSize, certificateText, countsAgainst, restSentence } from "../verdict/index.js";
import { demandOf } from "./demand.js";
import { nsText } from "./ns-text.js";
import { howToSupply } from "./own-figures.js";
import type { ChainStep, Verdict } from "./verdict.js";

/** One line of the arithmetic. */
export interface AccountLine {
  readonly text: string;
  /** `4.00 to 38.00`; empty where there is no range. */
  readonly limits: string;
  /** What it adds, with its sign; absent where it counts on neither way, or where nothing is added up. */
  readonly adds?: Fs;
  /** The sum so far. */
  readonly sum?: Fs;
  /** `shared` where it counts on neither way, `assumed`, `from memory` or `measured` where the figure is weak; may be empty. */
  readonly mark: string;
  /** Number of its source in `sources`, from 1; absent where none is stated. */
  readonly source?: number;
}

/** The whole account of a verdict. */
export interface Account {
  /** `set-up U4 4D holds with 1.30 ns to spare`. */
  readonly heading: string;
  readonly sentences: readonly string[];
  /** Absent where no time decides and nothing is known of the moments. */
  readonly lines: readonly AccountLine[];
  readonly sources: readonly string[];
  /** The cases of an exact verdict and what shows each, in lines; empty where none was needed. */
  readonly cases: readonly string[];
}

/** Explains a verdict in plain words and line by line; nothing in it is computed anew but the running sum. */
export function explain(verdict: Verdict): Account {
  const sources: string[] = [];
  const cite = (text: string): number | undefined => {
    if (text === "") return undefined;
    if (!sources.includes(text)) sources.push(text);
    return sources.indexOf(text) + 1;
  };
  const lines = arithmetic(verdict, cite);
  const cases = verdict.exact ? certificateText(verdict.exact.certificate, (time) => `${nsText(fs(time))} ns`) : [];
  return { heading: headingOf(verdict), sentences: sentencesOf(verdict), lines, sources, cases };
}

function headingOf({ name, state, margin }: Verdict): string {
  if (margin === undefined) return `${name}: ${state}`;
  const size = `${nsText(Math.abs(margin) as Fs)} ns`;
  if (state === "not settled") return `${name} is not settled: short by ${size} at most`;
  return state === "holds" ? `${name} holds with ${size} to spare` : `${name} ${state}, short by ${size}`;
}

function sentencesOf(verdict: Verdict): readonly string[] {
  const { state, note, occasion, count, typicalMargin, restsOn, missing, accepted } = verdict;
  const { sentence } = demandOf(verdict);
  const isFailure = state === "fails";
  const times = count === 1 ? "once" : `${count.toLocaleString("en")} times`;
  return [
    sentence,
    ...(note === "" || note === sentence ? [] : [note]),
    ...(missing.length > 0 ? [howToSupply(verdict)] : []),
    ...(occasion
      ? [
          `Worst at ${occasion.text}, in oscillator period ${occasion.tick.toLocaleString("en")} from power-up; checked ${times}.`,
        ]
      : []),
    ...(isFailure && typicalMargin !== undefined
      ? [`At typical delays the margin is ${nsText(typicalMargin)} ns; that is for information and no verdict.`]
      : []),
    ...exactSentence(verdict),
    ...shownSentence(verdict),
    ...restsOn.map((weakness) => restSentence[weakness]),
    ...(accepted
      ? [
          countsAgainst(verdict)
            ? `The file accepts this down to ${nsText(accepted.margin)} ns; it has become worse, so that no longer counts: ${accepted.reason}`
            : `The file accepts this down to ${nsText(accepted.margin)} ns: ${accepted.reason}`,
        ]
      : []),
  ];
}

/** How a margin was decided that the bounds leave open. */
function exactSentence({ exact }: Verdict): readonly string[] {
  if (!exact) return [];
  const size = certificateSize(exact.certificate);
  if (exact.bound === undefined)
    return [`Decided case by case, ${size}: the edges come in the same way on every board.`];
  const bounds = exact.bound < 0 ? `short by ${nsText(fs(-exact.bound))} ns` : `${nsText(exact.bound)} ns to spare`;
  const board = exact.isAttained ? "no board has less, and one has exactly this" : "no board has less";
  return [`Bounds alone give ${bounds}. Decided case by case, ${size}: ${board}.`];
}

/** What simulated boards say of a failure. */
function shownSentence({ name, state, rule, shown, margin, typicalMargin }: Verdict): readonly string[] {
  if (state === "not settled" && !shown && margin !== undefined) {
    const upper = typicalMargin === undefined ? "" : ` At typical delays it is ${nsText(typicalMargin)} ns.`;
    return [
      "The margin is a bound, and no board within all limits was found on which it happens: it may be a false alarm, or follow " +
        `from another failure.${upper}`,
    ];
  }
  if (!shown) return [];
  const replay = `simulate with --witness "${name}" runs it again.`;
  if (shown.margin === undefined || rule === "undriven") return [`A board within all limits shows it: ${replay}`];
  if (shown.isWorst) return [`A board within all limits has exactly this margin, and none has less: ${replay}`];
  const bound = margin === undefined ? "" : `, and none by more than ${nsText(fs(-margin))} ns`;
  return [`The worst board that was found is short by ${nsText(fs(-shown.margin))} ns${bound}: ${replay}`];
}

type Cite = (text: string) => number | undefined;

function arithmetic(verdict: Verdict, cite: Cite): readonly AccountLine[] {
  const { chains, state, required, available, margin, allowance, source, symbol } = verdict;
  if (!chains) return [];
  const { earlier, later } = demandOf(verdict);
  if (available === undefined && required === undefined) return plainChains(verdict, cite);
  const lines: AccountLine[] = [];
  let sum = 0;
  const add = (text: string, time: number, more: Partial<AccountLine> = {}) => {
    sum += time;
    lines.push({ text, limits: "", adds: fs(time), sum: fs(sum), mark: "", ...more });
  };
  const head = (text: string) => lines.push({ text, limits: "", mark: "" });
  const walk = (steps: readonly ChainStep[], sign: 1 | -1) => {
    for (const step of steps) {
      if (step.cancelled) lines.push(lineOf(step, cite));
      else add(step.label, sign * step[step.used], lineOf(step, cite));
    }
  };
  const [first, last] = chains.gap === "least" ? ["earliest", "latest"] : ["latest", "earliest"];
  head(`${capital(later)}, at the ${first}:`);
  add(`start: ${chains.between.text}`, chains.between.time);
  walk(chains.later, 1);
  head(`less ${earlier}, at the ${last}:`);
  walk(chains.earlier, -1);
  if (allowance !== undefined) add("the fight that the file allows", allowance, { mark: "circuit file" });
  if (chains.gap === "most") {
    head(`nothing drives for ${nsText(fs(sum))} ns`);
    if (available === undefined || margin === undefined) return lines;
    lines.push({ text: "limit that the file states", limits: "", adds: available, mark: "circuit file" });
    lines.push({ text: "margin", limits: "", sum: margin, mark: state });
    return lines;
  }
  if (verdict.rule === "pulse width" && sum < 0) add("no pulse is shorter than nothing", -sum);
  const { exact } = verdict;
  if (exact?.bound !== undefined && margin !== undefined) {
    add("no board has all of this at once", margin - exact.bound, { mark: "by cases" });
  }
  lines.push({ text: "available", limits: "", sum: fs(sum), mark: "" });
  if (required === undefined || margin === undefined) return lines;
  const number = cite(source);
  add(
    `less what is required${symbol === "" ? "" : ` (${symbol})`}`,
    -required,
    number === undefined ? {} : { source: number },
  );
  lines.push({ text: "margin", limits: "", sum: margin, mark: state });
  return lines;
}

/** Both chains without sums, where no time decides. */
function plainChains(verdict: Verdict, cite: Cite): readonly AccountLine[] {
  const { chains } = verdict;
  if (!chains) return [];
  const { earlier, later } = demandOf(verdict);
  const head = (text: string): AccountLine => ({ text: `${capital(text)}:`, limits: "", mark: "" });
  return [
    head(earlier),
    ...chains.earlier.map((step) => lineOf(step, cite)),
    head(later),
    ...chains.later.map((step) => lineOf(step, cite)),
  ];
}

function lineOf(step: ChainStep, cite: Cite) {
  const { label, min, max, cancelled, used, assumed, fromMemory, measured, missing, source } = step;
  const number = cite(source);
  const marks = [
    ...(cancelled ? ["shared"] : []),
    ...(assumed && used === "min" && !cancelled ? ["assumed"] : []),
    ...(fromMemory && !cancelled ? ["from memory"] : []),
    ...(measured && !cancelled ? ["measured"] : []),
    ...(missing === undefined ? [] : ["missing"]),
  ];
  return {
    text: label,
    limits: missing === undefined ? `${nsText(min)} to ${nsText(max)}` : "",
    mark: marks.join(", "),
    ...(number !== undefined && { source: number }),
  } satisfies AccountLine;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
