import { type Change, type Delay, type Edge, isMissing } from "../parts/index.js";
import { FS_PER_NS, type Fs, type Range, fs } from "../quantity/index.js";
import { randomFor } from "./random.js";
import type { ArcGroup, Driver, Tables, Variable } from "./tables.js";
import { HIGH, LOW, UNDRIVEN, UNKNOWN } from "./value.js";

/** One board: which delay, inside its limits, each arc and each wire has. */
export type DelayChoice =
  /** Typical figures; wires half as slow as they may be. */
  | "typical"
  /** Everything as fast as it may be. */
  | "earliest"
  /** Everything as slow as it may be. */
  | "latest"
  /** Each arc and wire by itself, evenly spread over its limits, or at one end of them. The same seed is the same board. */
  | { readonly seed: number; readonly spread: "even" | "ends" }
  /** Given delays, by `arcKey` and `wireKey`; what is not given as `otherwise` says. */
  | {
      readonly arcs: ReadonlyMap<string, Fs>;
      readonly wires: ReadonlyMap<string, Fs>;
      readonly oscillators: ReadonlyMap<string, OscillatorChoice>;
      readonly otherwise: Exclude<DelayChoice, { arcs: unknown }>;
    };

/** One oscillator can of one board. */
export interface OscillatorChoice {
  readonly period: Fs;
  /** High time of each period. */
  readonly high: Fs;
  /** Time of the first rising edge, at most one period. */
  readonly start: Fs;
}

/** Delays of one board, in the order of the tables. */
export interface ChosenDelays {
  /** 32 for each arc group, at `arcSlot`; NaN where no figure is on record. Femtoseconds, at least 1. */
  readonly arcs: Float64Array;
  /** One for each wire, femtoseconds. */
  readonly wires: Float64Array;
  /** For the drivers that are clocks. */
  readonly oscillators: ReadonlyMap<number, OscillatorChoice>;
}

/** An arc for which no figure is on record, and which the simulation needed. It ran with `delay` in its place. */
export interface StandIn {
  /** As `arcKey` names it. */
  readonly arc: string;
  /** What no sheet gives, in words. */
  readonly missing: string;
  readonly delay: Fs;
}

/** What an arc without figures is given, so that the simulation can go on. Our own choice; every result that uses it says so. */
export const STAND_IN_DELAY = fs(10 * FS_PER_NS);

/** Name of an arc: `U7 CLK rise to QA fall`. */
export function arcKey(ref: string, from: string, edge: Edge, to: string, change: Change): string {
  return `${ref} ${from} ${edge} to ${to} ${change}`;
}

/** Name of a wire: `U7 QA to U9 1A`; a signal from outside has its net's name and no chip. */
export function wireKey(fromRef: string, fromPin: string, toRef: string, toPin: string): string {
  return `${fromRef ? `${fromRef} ` : ""}${fromPin} to ${toRef} ${toPin}`;
}

/** Where an arc group keeps the delay from an input edge to a change between two values. */
export function arcSlot(group: number, edge: 0 | 1, before: number, after: number): number {
  return 32 * group + 16 * edge + 4 * before + after;
}

/** The edges by number, as the simulator counts them. */
export const EDGES = ["rise", "fall"] as const;

/**
 * Gives every arc, wire and oscillator its value. A chip answers after 1 fs at least, so that no loop can turn without time
 * passing.
 */
export function chooseDelays(tables: Tables, choice: DelayChoice): ChosenDelays {
  const arcs = new Float64Array(32 * tables.arcs.length).fill(Number.NaN);
  tables.arcs.forEach((group, index) => fillGroup(tables, arcs, index, group, choice));
  const { wireDelay } = tables.circuit;
  const firstOutside = tables.drivers.findIndex(({ source }) => source === "outside");
  const wires = Float64Array.from(tables.wires, ({ driver, receiver }) => {
    const from = tables.drivers[driver];
    const to = tables.variables[receiver];
    if (!from || !to || isSamePin(from, to)) return 0;
    const key = wireKey(from.chip?.ref ?? "", from.pin, to.chip.ref, to.name);
    // Luck must not hang on what a net is called, so an input from outside goes by its place.
    const luck = from.chip ? key : wireKey("", `input ${driver - firstOutside}`, to.chip.ref, to.name);
    return given(choice)?.wires.get(key) ?? within(wireDelay, middle(wireDelay), luck, otherwise(choice));
  });
  const oscillators = new Map<number, OscillatorChoice>();
  tables.drivers.forEach((driver, index) => {
    if (driver.source === "clock") oscillators.set(index, chooseOscillator(driver, choice));
  });
  return { arcs, wires, oscillators };
}

/** What is missing where `chooseDelays` left a gap, for the record of stand-ins. */
export function standIn(tables: Tables, group: number, edge: 0 | 1, before: number, after: number): StandIn {
  const arc = tables.arcs[group];
  const pin = arc && tables.variables[arc.pin];
  const driver = arc && tables.drivers[arc.driver];
  const change = changesBetween(before, after, true, true)[0] ?? "rise";
  if (!pin || !driver) throw new RangeError(`no arc group ${group}`);
  const figure = pin.chip.part.figures.delay(pin.name, EDGES[edge], driver.pin, change);
  return {
    arc: arcKey(pin.chip.ref, pin.name, EDGES[edge], driver.pin, change),
    missing: isMissing(figure) ? figure.missing : "no delay",
    delay: STAND_IN_DELAY,
  };
}

function fillGroup(tables: Tables, arcs: Float64Array, index: number, group: ArcGroup, choice: DelayChoice): void {
  const pin = tables.variables[group.pin];
  const driver = tables.drivers[group.driver];
  if (!pin || !driver) return;
  for (const edge of [0, 1] as const) {
    const delays = new Map<Change, number | undefined>();
    const delayOf = (change: Change) => {
      if (!delays.has(change)) delays.set(change, chosen(pin, EDGES[edge], driver, change, choice));
      return delays.get(change);
    };
    for (let before = LOW; before <= UNDRIVEN; before++) {
      for (let after = LOW; after <= UNDRIVEN; after++) {
        const changes = changesBetween(before, after, group.level, group.enable);
        const found = changes.map(delayOf).filter((delay) => delay !== undefined);
        if (found.length === 0) continue;
        // Knowledge is lost as early, and gained as late, as one of the changes that it may have been.
        arcs[arcSlot(index, edge, before, after)] = after === UNKNOWN ? Math.min(...found) : Math.max(...found);
      }
    }
  }
}

/** The changes that a step between two values may have been. A step that is none (the mark alone changes) goes as the level does. */
function changesBetween(before: number, after: number, level: boolean, enable: boolean): Change[] {
  const levels = (to: number): Change[] => {
    if (enable && !level) return to === HIGH ? ["z-to-high"] : ["z-to-low"];
    return to === HIGH ? ["rise"] : ["fall"];
  };
  if (after === UNDRIVEN) {
    if (before === LOW) return ["low-to-z"];
    if (before === HIGH) return ["high-to-z"];
    return ["low-to-z", "high-to-z"];
  }
  if (before === UNDRIVEN) {
    if (after === LOW) return ["z-to-low"];
    if (after === HIGH) return ["z-to-high"];
    return ["z-to-low", "z-to-high"];
  }
  if (after === LOW || after === HIGH) return levels(after);
  if (before === LOW) return levels(HIGH);
  if (before === HIGH) return levels(LOW);
  return [...levels(LOW), ...levels(HIGH)];
}

function chosen(pin: Variable, edge: Edge, driver: Driver, change: Change, choice: DelayChoice): number | undefined {
  const key = arcKey(pin.chip.ref, pin.name, edge, driver.pin, change);
  const fixed = given(choice)?.arcs.get(key);
  if (fixed !== undefined) return Math.max(1, fixed);
  const figure: Delay | { missing: string } = pin.chip.part.figures.delay(pin.name, edge, driver.pin, change);
  if (isMissing(figure)) return undefined;
  return Math.max(1, within(figure, figure.typical, key, otherwise(choice)));
}

function chooseOscillator({ chip, pin }: Driver, choice: DelayChoice): OscillatorChoice {
  const oscillation = chip?.part.oscillation;
  const ref = chip?.ref ?? pin;
  if (!oscillation) throw new RangeError(`${ref} has a clock output but no frequency`);
  const fixed = given(choice)?.oscillators.get(ref);
  if (fixed) return fixed;
  const { numerator, denominator } = oscillation.hertz;
  const nominal = Number((10n ** 15n * denominator * 2n + numerator) / (numerator * 2n));
  const rest = otherwise(choice);
  const seeded = typeof rest === "object" ? rest : "typical";
  const period = within(oscillation.period, nominal, `${ref} period`, seeded);
  const duty = within(oscillation.duty, middle(oscillation.duty), `${ref} duty`, seeded, (value) => value);
  const start =
    typeof rest === "object" ? Math.round(randomFor(`${ref} start`, rest.seed) * period) : Math.round(period / 2);
  return { period: fs(period), high: fs(Math.round(duty * period)), start: fs(start) };
}

/** One value of a range. `name` is what its luck hangs on. */
function within(
  { min, max }: Range,
  typical: number,
  name: string,
  choice: Exclude<DelayChoice, { arcs: unknown }>,
  round: (value: number) => number = Math.round,
): number {
  if (choice === "typical") return round(Math.min(max, Math.max(min, typical)));
  if (choice === "earliest") return min;
  if (choice === "latest") return max;
  const luck = randomFor(name, choice.seed);
  if (choice.spread === "ends") return luck < 0.5 ? min : max;
  return Math.min(max, min + round(luck * (max - min)));
}

function given(choice: DelayChoice) {
  return typeof choice === "object" && "arcs" in choice ? choice : undefined;
}

function otherwise(choice: DelayChoice): Exclude<DelayChoice, { arcs: unknown }> {
  return typeof choice === "object" && "arcs" in choice ? choice.otherwise : choice;
}

function middle({ min, max }: Range): number {
  return (min + max) / 2;
}

function isSamePin(from: Driver, to: Variable): boolean {
  return from.chip === to.chip && from.pin === to.name;
}
