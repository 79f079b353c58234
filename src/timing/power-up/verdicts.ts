import type { Circuit } from "../../circuit/index.js";
import { type Fs, formatTime } from "../../quantity/index.js";
import { untimed } from "../untimed.js";
import type { Verdict } from "../verdict.js";
import { type Judged, type PowerUp, isMended } from "./power-up.js";
import type { Part } from "./parts.js";
import { bitsWords, levelsOf, stateWords } from "./state-words.js";

/** What the verdicts need to know of the proof. */
export interface Proved {
  readonly circuit: Circuit;
  /** Oscillator periods until the control state repeats, as the proof found them with all delays. */
  readonly cycleTicks: number;
  readonly longestPeriod: Fs;
  /** Oscillator periods of a frame, where the cycle is one or more whole frames. */
  readonly frameTicks?: number;
}

/** Whether every state that storage may have at power-up comes into the proved cycle, and what does not. */
export function powerUpVerdicts(found: PowerUp, proved: Proved): readonly Verdict[] {
  const bad = found.obstacles.filter((judged) => !isMended(judged));
  const verdicts = bad.map((judged) => obstacleVerdict(judged, found, proved));
  const short = heldTooShort(found, proved);
  if (short) verdicts.push(short);
  if (verdicts.length > 0) return unique(verdicts);
  if (proved.cycleTicks % found.cycleTicks !== 0) return [otherCourse(found, proved)];
  return [holding(found, proved)];
}

const HEAD = "power-up";

function holding(found: PowerUp, proved: Proved): Verdict {
  const { bits, ticks, heldTicks, obstacles, writes } = found;
  const resets = resetNames(proved.circuit);
  const needed = obstacles.filter(isMended);
  if (bits === 0) {
    const note = "No control storage: nothing has to come into a cycle.";
    return untimed("power-up", { head: HEAD, item: "", tail: "" }, "holds", note);
  }
  const within = ticks === 0 ? "at once" : `within ${ticksText(ticks, proved)}`;
  const note = [
    needed.length === 0
      ? `Whatever the ${bits} bits of control storage hold at power-up, they are in the proved cycle ${within}${resets === "" ? "" : `, ${resets} or not`}.`
      : `Whatever the ${bits} bits of control storage hold at power-up, they are in the proved cycle ${within} of the release of ` +
        `${resets}, at whatever moment that is let go. It must have been held for ${ticksText(heldTicks, {})}.`,
    ...writes.map(({ ref, ticks: until }) =>
      until === undefined
        ? `${ref} may be written at any time, although nothing comes from outside.`
        : `In the first ${ticksText(until, proved)} ${ref} may be written although nothing comes from outside; what it holds at power-up is unknown anyway.`,
    ),
    ...needed.map(({ obstacle }) => `Without ${resets}, as after a dip of the supply: ${withoutReset(obstacle)}`),
  ].join(" ");
  return untimed("power-up", { head: HEAD, item: "", tail: "" }, "holds", note);
}

function obstacleVerdict(judged: Judged, found: PowerUp, { circuit }: Proved): Verdict {
  const { obstacle, reset } = judged;
  const resets = resetNames(circuit);
  if (obstacle.kind === "not followed") {
    const note = [
      `Not every start state was followed: ${obstacle.why}.`,
      `Of ${found.bits + found.bitsNotFollowed} bits of control storage ${found.bits} were.`,
      typeof reset === "string" ? `Nor could the start from ${resets} be followed: ${reset}.` : "",
      typeof reset === "object" ? lostWords(reset, resets) : "",
    ];
    return untimed(
      "power-up",
      named(chipsOf(obstacle.sections)),
      reset && typeof reset === "object" ? "fails" : "not settled",
      joined(note),
    );
  }
  const note = joined([
    withoutReset(obstacle),
    typeof reset === "string" ? `Whether ${resets} helps could not be followed: ${reset}.` : "",
    typeof reset === "object" ? lostWords(reset, resets) : "",
    typeof reset === "object" ? "" : remedy(obstacle),
  ]);
  return untimed("power-up", named(itemOf(obstacle)), typeof reset === "string" ? "not settled" : "fails", note);
}

/** What an obstacle means where no reset is. */
function withoutReset(obstacle: Judged["obstacle"]): string {
  switch (obstacle.kind) {
    case "other cycles": {
      const { part, bits, start } = obstacle;
      const { cycleOf, cycles } = start.graph;
      const lost = cycleOf.reduce((sum, cycle) => sum + (cycle === start.provedCycle ? 0 : 1), 0);
      const others = cycles.filter((_, cycle) => cycle !== start.provedCycle);
      const example = others.flat().reduce((least, state) => Math.min(least, state), Infinity);
      const ways = others.length === 1 ? "another cycle" : `${count(others.length)} other cycles`;
      return (
        `from ${count(lost)} of the ${count(cycleOf.length)} states that ${chipsOf(part.sections)} can start in, they run in ` +
        `${ways} and never come into the proved one, as from ${stateWords(levelsOf(bits, example))}.`
      );
    }
    case "never set":
      return `${bitsWords(obstacle.bits)} stays as it is at power-up, for nothing ever clocks, opens or forces it; the proof takes it for low.`;
    case "out of step":
      return (
        `${obstacle.parts.map(({ sections }) => chipsOf(sections)).join(" and ")} count each by itself and something reads ` +
        `both, so they can stand against each other in ${count(obstacle.ways)} ways; the proof knows one.`
      );
    case "may stay away":
      return (
        `what follows signals from outside may start where the proof has never been, and stay there: ` +
        `${stateWords(levelsOf(obstacle.bits, obstacle.state))}.`
      );
    case "not followed":
      return `${obstacle.why}.`;
  }
}

function remedy(obstacle: Judged["obstacle"]): string {
  switch (obstacle.kind) {
    case "other cycles":
      return "Clear or load them with a reset (an input that is `power-up only`), or decode the states that must not be so that they lead back.";
    case "never set":
      return "Clock it, or tie what reads it to a rail.";
    case "out of step":
      return "Clear both with one reset, or count the one with what the other gives.";
    case "may stay away":
      return "Clear it with a reset (an input that is `power-up only`), or let every state lead back.";
    case "not followed":
      return "";
  }
}

function lostWords(reset: Exclude<Judged["reset"], string | undefined>, resets: string): string {
  const example = reset.lost ? `: ${stateWords(reset.lost)}` : "";
  return reset.isLostByRelease
    ? `${resets} puts them right, but is let go at any moment, and each flip-flop may take that at one edge or at the next; ` +
        `then they can stay outside for ever${example}. Bring the release into step with the clock through two flip-flops.`
    : `${resets} does not help: after it they can still stay outside for ever${example}. Let it clear or load all of them.`;
}

/** A reset that the file lets be shorter than the circuit needs. */
function heldTooShort({ heldTicks, obstacles }: PowerUp, { circuit, longestPeriod }: Proved): Verdict | undefined {
  if (!obstacles.some(isMended)) return undefined;
  const needed = (heldTicks * longestPeriod) as Fs;
  const short = circuit.inputs.filter(({ timing }) => timing.kind === "power-up only" && timing.least < needed);
  if (short.length === 0) return undefined;
  const names = short.map(({ net }) => circuit.nets[net]?.name ?? "").join(", ");
  const note =
    `${names} must be held for ${ticksText(heldTicks, {})}, ${formatTime(needed)}, to bring every state in order, and the ` +
    "file lets it be shorter. Hold it longer.";
  return untimed("power-up", named(names), "fails", note);
}

/** Logic alone goes another way than the proof with its delays. */
function otherCourse(found: PowerUp, { cycleTicks }: Proved): Verdict {
  const note =
    `At a slow clock the circuit repeats every ${count(found.cycleTicks)} oscillator periods, at its own every ` +
    `${count(cycleTicks)}: the order of its changes decides. So what follows from other start states is not settled.`;
  return untimed("power-up", { head: HEAD, item: "", tail: "" }, "not settled", note);
}

/** `420,822 oscillator periods, 1.01 frames`. */
export function ticksText(ticks: number, { frameTicks }: Pick<Proved, "frameTicks">): string {
  const periods = `${count(ticks)} oscillator ${ticks === 1 ? "period" : "periods"}`;
  if (frameTicks === undefined || ticks < frameTicks / 2) return periods;
  return `${periods} (${(Math.ceil((100 * ticks) / frameTicks) / 100).toFixed(2)} frames)`;
}

function resetNames({ inputs, nets }: Circuit): string {
  return inputs
    .flatMap(({ net, timing }) => (timing.kind === "power-up only" ? [nets[net]?.name ?? ""] : []))
    .join(" and ");
}

function itemOf(obstacle: Judged["obstacle"]): string {
  switch (obstacle.kind) {
    case "other cycles":
      return chipsOf(obstacle.part.sections);
    case "never set":
      return bitsWords(obstacle.bits);
    case "out of step":
      return chipsOf(obstacle.parts.flatMap(({ sections }) => sections));
    case "may stay away":
      return chipsOf(obstacle.group.sections.filter(({ storage }) => storage.length > 0));
    case "not followed":
      return chipsOf(obstacle.sections);
  }
}

const collator = new Intl.Collator("en", { numeric: true });

/** The chips that hold something, in order: `U2, U3`. */
function chipsOf(sections: Part["sections"]): string {
  const holding = sections.filter(({ storage }) => storage.length > 0);
  const refs = (holding.length > 0 ? holding : sections).map(({ chip }) => chip.ref);
  return [...new Set(refs)].sort(collator.compare).join(", ");
}

function named(item: string) {
  return { head: HEAD, item, tail: "" };
}

function count(value: number): string {
  return value.toLocaleString("en");
}

function joined(sentences: readonly string[]): string {
  return sentences
    .filter((text) => text !== "")
    .map((text) => text.charAt(0).toUpperCase() + text.slice(1))
    .join(" ");
}

/** Two obstacles of the same chips get names of their own. */
function unique(verdicts: readonly Verdict[]): readonly Verdict[] {
  const seen = new Map<string, number>();
  return verdicts.map((verdict) => {
    const times = (seen.get(verdict.name) ?? 0) + 1;
    seen.set(verdict.name, times);
    if (times === 1) return verdict;
    const tail = `(${times})`;
    return { ...verdict, name: `${verdict.name} ${tail}`, nameParts: { ...verdict.nameParts, tail } };
  });
}
