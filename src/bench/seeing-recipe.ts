import type { Chip, Circuit } from "../circuit/index.js";
import { edgeRateOf } from "../electrical/index.js";
import { type Fs, fs, inNs } from "../quantity/index.js";
import { type ChainStart, type ChainStep, type Verdict, nsText } from "../timing/index.js";

/** Rise time times bandwidth of an instrument (worked example: Scilab Textbook Companion, book 2528, example 6.4). */
const RISE_TIME_BANDWIDTH = 0.35;
/** Scopes and probes are sold in steps; nobody owns one below. */
const LEAST_MEGAHERTZ = 20;

/** Where a probe goes. */
interface ProbePoint {
  readonly chip: Chip;
  readonly pin: string;
  readonly net: string;
  /** The edge that comes there; absent where more than one kind may. */
  readonly edge?: "rise" | "fall";
}

/**
 * How to see on the bench what a verdict speaks of: what to trigger on, where to probe, what to expect, and how fast the
 * instrument must be. Empty where no time between two pins decides.
 */
export function seeingRecipe(circuit: Circuit, verdict: Verdict): readonly string[] {
  const { chains, required, available, margin, typicalMargin } = verdict;
  if (!chains || required === undefined || available === undefined || margin === undefined) return [];
  const first = endOf(circuit, chains.earlier, chains.between.earlier);
  const second = endOf(circuit, chains.later, chains.between.later);
  if (!first || !second) return [];
  const trigger = isReference(verdict, first) ? first : second;
  const typical = typicalMargin === undefined ? undefined : fs(required + typicalMargin);
  return [
    `Trigger on ${trigger.net} at ${placeOf(trigger)}${trigger.edge ? `, its ${trigger.edge}` : ""}.${whenWorst(verdict)}`,
    `Probe ${first.net} at ${placeOf(first)} and ${second.net} at ${placeOf(second)}, each with its ground at that chip.`,
    `From the first to the second expect ${expected(available, typical)}; ${nsText(required)} ns are asked for.`,
    instrument([first, second], margin),
  ];
}

function expected(available: Fs, typical: Fs | undefined): string {
  const worst = `${nsText(available)} ns at the worst`;
  return typical === undefined ? worst : `about ${nsText(typical)} ns at typical delays, ${worst}`;
}

function whenWorst({ occasion }: Verdict): string {
  if (occasion?.line === undefined) return "";
  return ` It is worst at ${occasion.text}: count lines from vertical sync.`;
}

/** The pin against which the time is measured, most often a clock. */
function isReference({ chip, reference }: Verdict, { chip: { ref }, pin }: ProbePoint): boolean {
  return ref === chip && pin === reference;
}

function endOf(circuit: Circuit, steps: readonly ChainStep[], start: ChainStart): ProbePoint | undefined {
  const last = steps.at(-1);
  const chip = circuit.chips.find(({ ref }) => ref === last?.chip);
  // A wire leads to `U4 1D`, an arc to `1Y`.
  const pin = last?.to.split(" ").at(-1) ?? "";
  const net = chip?.nets.get(pin)?.name;
  if (!chip || net === undefined) return undefined;
  const change = [...steps].reverse().find(({ kind }) => kind === "arc")?.change ?? start.edge;
  const edge = change === "rise" || change === "fall" ? change : undefined;
  return { chip, pin, net, ...(edge && { edge }) };
}

/** `U4 pin 11 (1CLK)`. */
function placeOf({ chip, pin }: ProbePoint): string {
  const number = chip.part.package.pins.find(({ name }) => name === pin)?.number;
  return number === undefined ? `${chip.ref} ${pin}` : `${chip.ref} pin ${number} (${pin})`;
}

/** A scope must follow the edges, a logic analyser must tell the margin from nothing. */
function instrument(points: readonly ProbePoint[], margin: Fs): string {
  const rates = points.flatMap(({ chip }) => edgeRateOf(chip.part) ?? []).map(({ ns }) => ns);
  const fastest = Math.min(...rates);
  const scope = Number.isFinite(fastest)
    ? `Edges here take about ${fastest} ns: a scope and a probe of ${megahertz(fastest)} MHz or more follow them (0.35 by the rise time). `
    : "";
  const step = Math.max(0.1, Math.abs(inNs(margin)) / 2);
  return `${scope}A logic analyser tells the margin from nothing where it samples every ${step.toPrecision(2)} ns or more often (common practice: half of it).`;
}

function megahertz(riseNs: number): number {
  return Math.max(LEAST_MEGAHERTZ, Math.ceil((RISE_TIME_BANDWIDTH / riseNs) * 100) * 10);
}
