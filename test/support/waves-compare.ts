import { UNKNOWN } from "../../src/simulation/index.js";
import { HIGH, LOW, UNDRIVEN, describeLevels, isKnown } from "../../src/timing/level-set.js";
import type { Check } from "../../src/timing/check.js";
import type { Proof, ProvedRegion, ProvedWave, TimedCheck } from "./waves-proof.js";
import type { Run } from "./waves-run.js";
import { BoardTime } from "./waves-time.js";

/** Something that a simulated board did and the proof excludes. */
export interface Discrepancy {
  readonly what:
    "early or late" | "level" | "edges" | "unforeseen violation" | "unforeseen contention" | "margin" | "unchecked";
  /** Femtoseconds. */
  readonly time: number;
  readonly text: string;
}

export interface Comparison {
  readonly discrepancies: readonly Discrepancy[];
  /** Until here, in femtoseconds, every check of the proof held, so that its bounds hold. */
  readonly until: number;
  readonly transitions: number;
  /** Levels compared between changes, and clean changes whose edges were counted. */
  readonly levels: number;
  readonly edges: number;
  /** Changes of the proof that may hold several edges and did. */
  readonly glitches: number;
  /** Times at which a net of several drivers was left undriven, or driven by two. */
  readonly handOvers: number;
  /** Changes behind latches. */
  readonly latched: number;
}

/** A span of time in which a net may change, and the regions whose times touch in it. */
interface Span {
  readonly from: number;
  readonly to: number;
  readonly regions: readonly ProvedRegion[];
}

/** Holds what a board did against what the proof says that it may do. */
export function compare(proof: Proof, run: Run): Comparison {
  const time = new BoardTime(proof.model.time, run);
  const failing = proof.checks.filter(
    ({ check }) => fails(check) && check.rule !== "contention" && check.rule !== "undriven",
  );
  const until = Math.min(run.end, ...failing.map((found) => firstEffect(found, run)));
  const found: Discrepancy[] = [];
  const count = { transitions: 0, levels: 0, edges: 0, glitches: 0, handOvers: 0, latched: 0 };
  proof.model.nets.forEach(({ net }, index) => {
    const wave = proof.waves[index];
    const tape = run.tapes[index];
    if (!wave || !tape) return;
    const spans = spansOf(wave, time);
    const say = (what: Discrepancy["what"], at: number, text: string) =>
      found.push({ what, time: at, text: `${net.name} at ${describe(at, run)}: ${text}` });
    let at = 0;
    let level = tape.first & 3;
    let expected = wave.level;
    let settled = -Infinity;
    const { timesFs, values } = tape;
    const seen = tape.indexAt(until) + 1;
    if (net.drivers.length > 1) count.handOvers += values.subarray(0, seen).filter((value) => value >= UNKNOWN).length;
    if (net.drivers.some(({ chip }) => chip.part.behaviour.storage[0]?.kind === "latch")) count.latched += seen;
    for (const span of [...spans, undefined]) {
      const from = span?.from ?? Infinity;
      for (; at < timesFs.length && (timesFs[at] ?? 0) < Math.min(from, until); at++) {
        const before = level;
        level = values[at] ?? 0;
        if (before === UNKNOWN || level === UNKNOWN) continue;
        count.transitions++;
        say("early or late", timesFs[at] ?? 0, `changes to ${letter(level)}, next change from ${describe(from, run)}`);
      }
      if (from >= until) {
        if (settled < until && !admits(expected, level))
          say("level", until, `is ${letter(level)}, proved ${describeLevels(expected)}`);
        break;
      }
      count.levels++;
      if (!admits(expected, level)) say("level", from, `is ${letter(level)}, proved ${describeLevels(expected)}`);
      if (!span) break;
      const first = at;
      let isVague = level === UNKNOWN;
      for (; at < timesFs.length && (timesFs[at] ?? 0) <= span.to && (timesFs[at] ?? 0) < until; at++) {
        level = values[at] ?? 0;
        isVague ||= level === UNKNOWN;
        count.transitions++;
      }
      const edges = at - first;
      const [only, another] = span.regions;
      if (only?.clean && !another && span.to < until && !isVague) {
        count.edges++;
        const least = isKnown(only.from) && isKnown(only.to) && only.from !== only.to ? 1 : 0;
        if (edges < least || edges > 1) say("edges", span.from, `${edges} edges where there is one`);
      }
      if (edges > 1 && span.regions.some(({ clean }) => !clean)) count.glitches++;
      expected = span.regions.at(-1)?.to ?? expected;
      settled = span.to;
    }
  });
  for (const { rule, chip, pin, firstAt, actual, required } of run.violations) {
    if (firstAt >= until) continue;
    const text = `${chip.ref} ${pin} ${rule}: ${actual} fs, required ${required.time}`;
    found.push({ what: "unforeseen violation", time: firstAt, text: `${text} at ${describe(firstAt, run)}` });
  }
  for (const { net, from } of run.contentions) {
    const name = proof.model.nets[net]?.net.name;
    const isForeseen = proof.checks.some(
      ({ check }) => check.rule === "contention" && check.net === name && fails(check),
    );
    if (from >= until || isForeseen) continue;
    found.push({ what: "unforeseen contention", time: from, text: `${name} at ${describe(from, run)}` });
  }
  found.sort((a, b) => a.time - b.time);
  return { discrepancies: found, until, ...count };
}

function fails({ available, required }: Check): boolean {
  return available < required;
}

/** No later than anything can come of a requirement that is not met. */
function firstEffect({ tick, check: { earlier, later } }: TimedCheck, { start, period }: Run): number {
  const first = Math.min(0, earlier?.tick ?? 0, later?.tick ?? 0);
  return start + (tick + first) * period;
}

function spansOf({ regions }: ProvedWave, time: BoardTime): Span[] {
  const spans: Span[] = [];
  for (const region of regions) {
    const from = Math.min(...region.early.map((moment) => time.of(moment).least));
    const to = region.closed ? Math.max(...region.late.map((moment) => time.of(moment).most)) : Infinity;
    let span: Span = { from, to, regions: [region] };
    for (let last = spans.at(-1); last && span.from <= last.to; last = spans.at(-1)) {
      span = {
        from: Math.min(last.from, span.from),
        to: Math.max(last.to, span.to),
        regions: [...last.regions, ...span.regions],
      };
      spans.pop();
    }
    spans.push(span);
  }
  return spans;
}

/**
 * Whether a simulated value is one of a set. "Unknown" is not compared: the simulation loses knowledge as early and regains
 * it as late as any of the changes may have been that it may stand for.
 */
function admits(set: number, value: number): boolean {
  return value === UNKNOWN || (set & ([LOW, HIGH, 0, UNDRIVEN][value] ?? 0)) !== 0;
}

function letter(value: number): string {
  return "01xz"[value] ?? "?";
}

/** Tick and nanoseconds after its rise. */
function describe(time: number, { start, period }: Run): string {
  if (!Number.isFinite(time)) return "the end";
  const tick = Math.floor((time - start) / period);
  return `tick ${tick} + ${((time - start - tick * period) / 1e6).toFixed(3)} ns`;
}
