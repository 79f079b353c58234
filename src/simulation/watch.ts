import type { Chip } from "../circuit/circuit.js";
import type { MemorySymbol, Requirement } from "../parts/index.js";
import { type Fs, fs } from "../quantity/index.js";
import { decide } from "./decision.js";
import type { Simulator } from "./simulator.js";
import { HIGH, LOW, VALUE } from "./value.js";
import {
  type PeriodCheck,
  type RecoveryCheck,
  type WatchPlan,
  type WidthCheck,
  type WindowCheck,
  type WriteCheck,
  planWatch,
} from "./watch-plan.js";

const RULES = ["set-up", "hold", "pulse width", "recovery", "clock period", "memory write"] as const;

/** A requirement that was not met, at its worst, and how often. */
export interface Violation {
  readonly rule: (typeof RULES)[number];
  readonly chip: Chip;
  readonly pin: string;
  /** The pin against which it is measured; absent for widths and periods. */
  readonly reference?: string;
  readonly required: Requirement;
  /** The shortest time that there was, in femtoseconds. */
  actual: number;
  /** When, in femtoseconds: of the worst and of the first. */
  worstAt: number;
  readonly firstAt: number;
  count: number;
  /** The data may change at any time against the clock, as they do at a synchroniser. */
  readonly asynchronous: boolean;
}

export interface WatchOptions {
  /** Requirements that are met with no more than this to spare are noted too: how near a board comes to a violation. */
  readonly within?: Fs;
  /** Only what these chips ask; every chip when absent. */
  readonly chips?: ReadonlySet<Chip>;
}

/**
 * Watches what every chip asks of the signals at its pins while a simulation runs: set-up, hold, widths, recovery, clock
 * periods, and the times of memory writes. A window counts where, with all other pins as they are at that edge, the chip
 * would take something else if the pin were turned over.
 */
export class Watch {
  /** Requirements without a figure: they are not watched. */
  readonly missing: readonly string[];
  /** By what was required, and where. */
  private readonly found = new Map<Requirement, Map<number, Violation>>();
  private readonly simulator: Simulator;
  private readonly within: number;
  private readonly plan: WatchPlan;
  private readonly words: Int32Array;
  private readonly lastChange: Float64Array; // of variables
  private readonly checks: readonly (PinChecks | undefined)[]; // of variables

  /** Watches a simulator from now on. */
  constructor(simulator: Simulator, { within = fs(0), chips }: WatchOptions = {}) {
    const { tables } = simulator;
    this.within = within;
    this.simulator = simulator;
    this.plan = planWatch(tables.circuit, tables, chips);
    this.missing = this.plan.missing;
    this.words = simulator.pinWords;
    this.lastChange = new Float64Array(tables.variables.length).fill(-Infinity);
    const checks = checksByPin(this.plan, tables.variables.length);
    this.checks = checks;
    simulator.observePins(
      checks.flatMap((check, pin) => (check ? [pin] : [])),
      (pin, time, before, after) => this.look(pin, time, before, after),
    );
  }

  /** All violations so far, in the order in which they first came up. */
  get violations(): readonly Violation[] {
    return [...this.found.values()].flatMap((places) => [...places.values()]).sort((a, b) => a.firstAt - b.firstAt);
  }

  /** Forgets what was found so far. */
  restart(): void {
    this.found.clear();
  }

  private look(pin: number, time: Fs, beforeWord: number, afterWord: number): void {
    const checks = this.checks[pin];
    const [before, after] = [beforeWord & VALUE, afterWord & VALUE];
    if (!checks || before === after) return;
    for (const width of checks.widths) this.checkWidth(width, time, before);
    for (const period of checks.periods) this.checkPeriod(period, time, after);
    for (const state of checks.references) this.checkSetUp(state, time, before);
    for (const state of checks.data) this.checkHold(state, time);
    for (const recovery of checks.recoveries) this.checkRecovery(recovery, time, after);
    for (const release of checks.releases) if (isEdge(after, release.check.edge)) release.last = time;
    for (const write of checks.writes) this.checkWrite(write, pin, time, before);
    this.lastChange[pin] = time;
  }

  private checkWidth({ chip, pin, level, gates, least }: WidthCheck, time: number, before: number): void {
    if (before !== level) return;
    const lasted = time - (this.lastChange[pin] as number);
    if (lasted >= least.time + this.within || !gates.some((gate) => this.dependsOn(gate, pin))) return;
    this.note("pulse width", chip, pin, -1, least, lasted, time);
  }

  private checkPeriod(state: Timed<PeriodCheck>, time: number, after: number): void {
    const { chip, pin, edge, least } = state.check;
    if (!isEdge(after, edge)) return;
    const lasted = time - state.last;
    state.last = time;
    if (lasted < least.time + this.within) this.note("clock period", chip, pin, -1, least, lasted, time);
  }

  private checkSetUp(state: Timed<WindowCheck>, time: number, before: number): void {
    const { chip, pin, reference, captures, setUp, asynchronous } = state.check;
    let isTaken = false;
    for (const { gate, takes, when } of captures) {
      const [was, is] = [this.answerWith(gate, reference, before), this.answer(gate)];
      const has = when === "rise" ? was === LOW && is === HIGH : was === HIGH && is === LOW;
      // What an override or latch takes at the end is what it has followed until then, so it is judged as before the edge.
      if (has && this.dependsOn(takes, pin)) isTaken = true;
    }
    if (!isTaken) return;
    state.last = time;
    const lead = time - (this.lastChange[pin] as number);
    if (setUp && lead < setUp.time + this.within)
      this.note("set-up", chip, pin, reference, setUp, lead, time, asynchronous);
  }

  private checkHold(state: Timed<WindowCheck>, time: number): void {
    const { chip, pin, reference, hold, asynchronous } = state.check;
    const kept = time - state.last;
    if (hold && kept < hold.time + this.within) this.note("hold", chip, pin, reference, hold, kept, time, asynchronous);
  }

  private checkRecovery(state: Timed<RecoveryCheck>, time: number, after: number): void {
    const { chip, pin, reference, referenceEdge, held, least } = state.check;
    if (!isEdge(after, referenceEdge) || held.every((root) => this.answer(root) === HIGH)) return;
    const lead = time - state.last;
    if (lead < least.time + this.within) this.note("recovery", chip, pin, reference, least, lead, time);
  }

  private checkWrite(state: WriteState, pin: number, time: number, before: number): void {
    const { write, address, data, control } = state.check;
    if (control.includes(pin)) {
      const [was, is] = [this.answerWith(write, pin, before), this.answer(write)];
      if (was === LOW && is === HIGH) this.compareAll(state, "tAS", address, pin, time);
      if (was === HIGH && is === LOW) {
        this.compareAll(state, "tAW", address, pin, time);
        this.compareAll(state, "tDW", data, pin, time);
        state.end = time;
        state.endedBy = pin;
      }
    }
    const after = time - state.end;
    if (address.includes(pin)) this.compare(state, "tWR", pin, state.endedBy, after, time);
    if (data.includes(pin)) this.compare(state, "tDH", pin, state.endedBy, after, time);
  }

  private compareAll(state: WriteState, symbol: MemorySymbol, pins: readonly number[], by: number, time: number): void {
    for (const pin of pins)
      if (pin !== by) this.compare(state, symbol, pin, by, time - (this.lastChange[pin] as number), time);
  }

  private compare(
    state: WriteState,
    symbol: MemorySymbol,
    pin: number,
    by: number,
    actual: number,
    time: number,
  ): void {
    const least = state.check.times[symbol];
    if (least && actual < least.time + this.within)
      this.note("memory write", state.check.chip, pin, by, least, actual, time);
  }

  private note(
    rule: Violation["rule"],
    chip: Chip,
    pin: number,
    reference: number,
    required: Requirement,
    actual: number,
    time: number,
    asynchronous = false,
  ): void {
    const places = this.found.get(required) ?? new Map<number, Violation>();
    this.found.set(required, places);
    const place = (pin * this.lastChange.length + reference + 1) * RULES.length + RULES.indexOf(rule);
    const known = places.get(place);
    if (known) {
      known.count++;
      if (actual < known.actual) [known.actual, known.worstAt] = [actual, time];
      return;
    }
    const nameOf = (variable: number) => this.simulator.tables.variables[variable]?.name ?? "";
    places.set(place, {
      rule,
      chip,
      pin: nameOf(pin),
      ...(reference >= 0 && { reference: nameOf(reference) }),
      required,
      actual,
      worstAt: time,
      firstAt: time,
      count: 1,
      asynchronous,
    });
  }

  private answer(root: number): number {
    return decide(root, this.plan.decisionVariable, this.plan.decisionNext, this.words);
  }

  private answerWith(root: number, variable: number, value: number): number {
    const word = this.words[variable] as number;
    this.words[variable] = value;
    const answer = this.answer(root);
    this.words[variable] = word;
    return answer;
  }

  private dependsOn(root: number, variable: number): boolean {
    return this.answerWith(root, variable, LOW) !== this.answerWith(root, variable, HIGH);
  }
}

/** A check with the time of the event that it is measured from. */
interface Timed<C> {
  readonly check: C;
  last: number;
}

interface WriteState {
  readonly check: WriteCheck;
  end: number;
  endedBy: number;
}

/** What is looked at when a pin changes. */
interface PinChecks {
  readonly widths: WidthCheck[];
  readonly periods: Timed<PeriodCheck>[];
  readonly references: Timed<WindowCheck>[];
  readonly data: Timed<WindowCheck>[];
  readonly recoveries: Timed<RecoveryCheck>[];
  readonly releases: Timed<RecoveryCheck>[];
  readonly writes: WriteState[];
}

function checksByPin(plan: WatchPlan, variables: number): readonly (PinChecks | undefined)[] {
  const checks: (PinChecks | undefined)[] = Array.from({ length: variables }, () => undefined);
  const at = (pin: number): PinChecks =>
    (checks[pin] ??= { widths: [], periods: [], references: [], data: [], recoveries: [], releases: [], writes: [] });
  for (const check of plan.widths) at(check.pin).widths.push(check);
  for (const check of plan.periods) at(check.pin).periods.push({ check, last: -Infinity });
  for (const check of plan.windows) {
    const state = { check, last: -Infinity };
    at(check.reference).references.push(state);
    at(check.pin).data.push(state);
  }
  for (const check of plan.recoveries) {
    const state = { check, last: -Infinity };
    at(check.reference).recoveries.push(state);
    at(check.pin).releases.push(state);
  }
  for (const check of plan.writes) {
    const state = { check, end: -Infinity, endedBy: -1 };
    for (const pin of new Set([...check.control, ...check.address, ...check.data])) at(pin).writes.push(state);
  }
  return checks;
}

function isEdge(after: number, edge: "rise" | "fall"): boolean {
  return after === (edge === "rise" ? HIGH : LOW);
}
