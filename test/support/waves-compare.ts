import type { Net } from "../../src/circuit/circuit.js";
import { type Tape, UNKNOWN, VALUE_LETTERS } from "../../src/simulation/index.js";
import type { Check, RuleName } from "../../src/timing/check.js";
import { HIGH, LOW, type LevelSet, UNDRIVEN, describeLevels, isKnown } from "../../src/timing/level-set.js";
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

/** How much was compared. */
export interface Counts {
  transitions: number;
  /** Levels compared between changes, and clean changes whose edges were counted. */
  levels: number;
  edges: number;
  /** Changes of the proof that may hold several edges and did. */
  glitches: number;
  /** Times at which a net of several drivers was left undriven, or driven by two. */
  handOvers: number;
  /** Changes behind latches. */
  latched: number;
}

export interface Comparison extends Readonly<Counts> {
  readonly discrepancies: readonly Discrepancy[];
  /** Until here, in femtoseconds, every check of the proof held, so that its bounds hold; 0 where nothing was compared. */
  readonly until: number;
  /** The board came to rest at power-up as the proof has it; a loop through clears may come to rest in another way. */
  readonly beginsAlike: boolean;
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
  const beginsAlike = proof.waves.every((wave, net) => !wave || admits(wave.level, (run.tapes[net]?.first ?? 0) & 3));
  const failing = proof.checks.filter(({ check }) => fails(check) && !OF_SHARED_NETS.has(check.rule));
  const until = beginsAlike ? Math.min(run.end, ...failing.map((found) => firstEffect(found, run))) : 0;
  const counts: Counts = { transitions: 0, levels: 0, edges: 0, glitches: 0, handOvers: 0, latched: 0 };
  const discrepancies = proof.model.nets.flatMap(({ net }, index) => {
    const [wave, tape] = [proof.waves[index], run.tapes[index]];
    if (!wave || !tape || !beginsAlike) return [];
    countKinds(net, tape, until, counts);
    return new NetComparison(net, tape, run, until, counts).follow(wave.level, spansOf(wave, time));
  });
  for (const { rule, chip, pin, firstAt, actual, required } of run.violations) {
    if (firstAt >= until) continue;
    const text = `${chip.ref} ${pin} ${rule}: ${actual} fs, required ${required.time}`;
    discrepancies.push({ what: "unforeseen violation", time: firstAt, text: `${text} at ${describe(firstAt, run)}` });
  }
  for (const { net, from } of run.contentions) {
    const name = proof.model.nets[net]?.net.name;
    const isForeseen = ({ check }: TimedCheck) => check.rule === "contention" && check.net === name && fails(check);
    if (from >= until || proof.checks.some(isForeseen)) continue;
    discrepancies.push({ what: "unforeseen contention", time: from, text: `${name} at ${describe(from, run)}` });
  }
  discrepancies.sort((a, b) => a.time - b.time);
  return { discrepancies, until, beginsAlike, ...counts };
}

/** Rules whose failure leaves the bounds as they are: the net is then of unknown level, in the proof too. */
const OF_SHARED_NETS: ReadonlySet<RuleName> = new Set(["contention", "undriven"]);

function countKinds(net: Net, tape: Tape, until: number, counts: Counts): void {
  const seen = tape.indexAt(until) + 1;
  if (net.drivers.length > 1) counts.handOvers += tape.values.subarray(0, seen).filter((v) => v >= UNKNOWN).length;
  if (net.drivers.some(({ chip }) => chip.part.behaviour.storage[0]?.kind === "latch")) counts.latched += seen;
}

/** Follows one net through the spans of time in which it may change. */
class NetComparison {
  readonly #found: Discrepancy[] = [];
  readonly #net: Net;
  readonly #tape: Tape;
  readonly #run: Run;
  readonly #until: number;
  readonly #counts: Counts;
  /** Changes of the tape that have been looked at, and the value after the last of them. */
  #at = 0;
  #value: number;

  constructor(net: Net, tape: Tape, run: Run, until: number, counts: Counts) {
    this.#net = net;
    this.#tape = tape;
    this.#run = run;
    this.#until = until;
    this.#counts = counts;
    this.#value = tape.first & 3;
  }

  follow(first: LevelSet, spans: readonly Span[]): readonly Discrepancy[] {
    let expected = first;
    for (const span of spans) {
      if (span.from >= this.#until) break;
      this.#quiet(expected, span.from);
      this.#changing(span);
      expected = span.regions.at(-1)?.to ?? expected;
      if (span.to >= this.#until) return this.#found;
    }
    this.#quiet(expected, this.#until);
    return this.#found;
  }

  /** Up to a time at which the next change may begin, nothing changes and the level is as proved. */
  #quiet(expected: LevelSet, to: number): void {
    const timeOf = () => this.#tape.timesFs[this.#at] ?? Infinity;
    for (let time = timeOf(); time < to; time = timeOf()) {
      const before = this.#value;
      this.#step();
      if (before === UNKNOWN || this.#value === UNKNOWN) continue;
      const next = describe(to, this.#run);
      this.#say("early or late", time, `changes to ${VALUE_LETTERS[this.#value]}, next change from ${next}`);
    }
    this.#counts.levels++;
    if (admits(expected, this.#value)) return;
    this.#say("level", to, `is ${VALUE_LETTERS[this.#value]}, proved ${describeLevels(expected)}`);
  }

  #changing({ from, to, regions }: Span): void {
    let edges = 0;
    let isVague = this.#value === UNKNOWN;
    for (; this.#at < this.#tape.count && (this.#tape.timesFs[this.#at] ?? Infinity) <= to; edges++) {
      if ((this.#tape.timesFs[this.#at] ?? 0) >= this.#until) return;
      this.#step();
      isVague ||= this.#value === UNKNOWN;
    }
    if (edges > 1 && regions.some(({ clean }) => !clean)) this.#counts.glitches++;
    const [only, another] = regions;
    if (!only?.clean || another || to >= this.#until || isVague) return;
    this.#counts.edges++;
    const least = isKnown(only.from) && isKnown(only.to) && only.from !== only.to ? 1 : 0;
    if (edges < least || edges > 1) this.#say("edges", from, `${edges} edges where there is one`);
  }

  #step(): void {
    this.#value = this.#tape.values[this.#at++] ?? 0;
    this.#counts.transitions++;
  }

  #say(what: Discrepancy["what"], time: number, text: string): void {
    this.#found.push({ what, time, text: `${this.#net.name} at ${describe(time, this.#run)}: ${text}` });
  }
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
    // A pulse that this board cannot have, since it would end before it begins; or a change with nothing to cause it.
    if (from > to) continue;
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
function admits(set: LevelSet, value: number): boolean {
  return value === UNKNOWN || (set & ([LOW, HIGH, 0, UNDRIVEN][value] ?? 0)) !== 0;
}

/** Tick and nanoseconds after its rise. */
function describe(time: number, { start, period }: Run): string {
  if (!Number.isFinite(time)) return "the end";
  const tick = Math.floor((time - start) / period);
  return `tick ${tick} + ${((time - start - tick * period) / 1e6).toFixed(3)} ns`;
}
