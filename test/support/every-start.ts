import type { Chip, Circuit, Net } from "../../src/circuit/circuit.js";
import { type Expression, HIGH, type Known, LOW, dependsOn, namesIn } from "../../src/parts/index.js";
import { sectionsOf } from "../../src/timing/sections.js";
import { type Level, type ZeroDelayChip, zeroDelayChip } from "./zero-delay-chip.js";

/** A storage bit of a board: `U1 qA`. */
export interface BoardBit {
  readonly chip: Chip;
  readonly name: string;
}

/** How long each output takes, in whole units, by `U1 QA`. */
export type UnitDelays = (output: string) => number;

/** More changes than a board of a few chips has after one edge: beyond it it swings. */
const MOST_CHANGES = 4000;

/**
 * A board of whole chips, each by itself without delay, wired by outputs that take some time: run from any state of its
 * storage at a clock so slow that all comes to rest after each edge. The plain way, one state at a time.
 */
export class SlowBoard {
  readonly bits: readonly BoardBit[];
  readonly #circuit: Circuit;
  readonly #delays: UnitDelays;
  readonly #chips: readonly Chip[];
  readonly #clock: Net;
  #parts = new Map<Chip, ZeroDelayChip>();
  #levels = new Map<Net, Level>();

  constructor(circuit: Circuit, delays: UnitDelays) {
    this.#circuit = circuit;
    this.#delays = delays;
    this.#chips = circuit.chips.filter(({ part }) => part.oscillation === undefined);
    const can = circuit.chips.find(({ part }) => part.oscillation !== undefined);
    const clock = can?.nets.get("OUT");
    if (!clock) throw new Error("no oscillator");
    this.#clock = clock;
    this.bits = this.#chips.flatMap((chip) => chip.part.behaviour.storage.map(({ name }) => ({ chip, name })));
  }

  /** Sets storage (bit `n` of the number is `bits[n]`) and levels from outside, and lets all come to rest. */
  start(state: number, outside: Readonly<Record<string, Level>> = {}): void {
    this.#parts = new Map();
    this.#levels = new Map(
      this.#circuit.nets.map((net) => [net, outside[net.name] ?? (net.rail === "high" ? 1 : 0)] as const),
    );
    const levelsAt = (chip: Chip): Record<string, Level> =>
      Object.fromEntries([...chip.nets].map(([pin, net]) => [pin, this.#levels.get(net) ?? 0]));
    // What drives an asynchronous input must stand before it acts, so at first nothing stored may change.
    const asStored = new Map(
      this.#chips.map((chip) => {
        const storage = Object.fromEntries(
          this.bits.flatMap((bit, n) => (bit.chip === chip ? [[bit.name, ((state >> n) & 1) as Level] as const] : [])),
        );
        return [chip, storage] as const;
      }),
    );
    let stored = asStored;
    for (let round = 0; ; round++) {
      if (round > 200) throw new Error("it does not come to rest");
      this.#passOn(stored, levelsAt);
      const next = new Map(
        this.#chips.map((chip) => {
          const part = zeroDelayChip(chip.part.behaviour, { storage: stored.get(chip) ?? {}, levels: levelsAt(chip) });
          this.#parts.set(chip, part);
          return [
            chip,
            Object.fromEntries(chip.part.behaviour.storage.map(({ name }) => [name, part.bit(name)])),
          ] as const;
        }),
      );
      const isSame = this.#chips.every((chip) =>
        chip.part.behaviour.storage.every(({ name }) => next.get(chip)?.[name] === stored.get(chip)?.[name]),
      );
      if (isSame) return;
      stored = next;
    }
  }

  /** Levels of all nets for storage that stays as it is. */
  #passOn(
    stored: ReadonlyMap<Chip, Readonly<Record<string, Level>>>,
    levelsAt: (chip: Chip) => Record<string, Level>,
  ): void {
    for (let round = 0; round < 200; round++) {
      let changed = false;
      for (const chip of this.#chips) {
        const still = { ...chip.part.behaviour, storage: chip.part.behaviour.storage.map(frozen) };
        const part = zeroDelayChip(still, { storage: stored.get(chip) ?? {}, levels: levelsAt(chip) });
        this.#parts.set(chip, part);
        for (const { pin } of chip.part.behaviour.outputs) {
          const net = chip.nets.get(pin);
          if (net && this.#show(net)) changed = true;
        }
      }
      if (!changed) return;
    }
    throw new Error("it does not come to rest");
  }

  /** An edge of the oscillator, or a level from outside, and all that follows. */
  edge(level: Level, net: Net = this.#clock): void {
    const queue: { time: number; net: Net; from?: { chip: Chip; pin: string; level: Level | "Z" } }[] = [];
    const driven = new Map<string, Level | "Z">();
    for (const chip of this.#chips) {
      for (const { pin } of chip.part.behaviour.outputs) driven.set(`${chip.ref} ${pin}`, this.#part(chip).drives(pin));
    }
    const told = new Map(driven);
    const change = (time: number, changed: ReadonlySet<Net>) => {
      for (const chip of this.#chips) {
        const pins = [...chip.nets].filter(([, on]) => changed.has(on));
        if (pins.length === 0) continue;
        this.#part(chip).set(Object.fromEntries(pins.map(([pin, on]) => [pin, this.#levels.get(on) ?? 0])));
        for (const { pin } of chip.part.behaviour.outputs) {
          const key = `${chip.ref} ${pin}`;
          const shown = this.#part(chip).drives(pin);
          const on = chip.nets.get(pin);
          if (told.get(key) === shown || !on) continue;
          told.set(key, shown);
          queue.push({ time: time + this.#delays(key), net: on, from: { chip, pin, level: shown } });
        }
      }
    };
    if (this.#levels.get(net) === level) return;
    this.#levels.set(net, level);
    change(0, new Set([net]));
    for (let changes = 0; queue.length > 0; changes++) {
      if (changes > MOST_CHANGES) throw new Error("it does not come to rest");
      const time = Math.min(...queue.map((item) => item.time));
      const now = queue.filter((item) => item.time === time);
      for (const item of now) {
        queue.splice(queue.indexOf(item), 1);
        if (item.from) driven.set(`${item.from.chip.ref} ${item.from.pin}`, item.from.level);
      }
      const changed = new Set<Net>();
      for (const item of now) {
        const levels = item.net.drivers.map(({ chip, pin }) => driven.get(`${chip.ref} ${pin}`) ?? "Z");
        const after = levels.includes(1) ? 1 : levels.includes(0) ? 0 : (this.#levels.get(item.net) ?? 0);
        if (after !== this.#levels.get(item.net)) changed.add(item.net);
        this.#levels.set(item.net, after);
      }
      change(time, changed);
    }
  }

  /** A whole period. */
  period(): void {
    this.edge(1);
    this.edge(0);
  }

  get state(): number {
    return this.bits.reduce((sum, { chip, name }, n) => sum + this.#part(chip).bit(name) * 2 ** n, 0);
  }

  #part(chip: Chip): ZeroDelayChip {
    const part = this.#parts.get(chip);
    if (!part) throw new Error("not started");
    return part;
  }

  /** Brings a net to what is driven; whether that changed it. */
  #show(net: Net): boolean {
    const levels = net.drivers.flatMap(({ chip, pin }) => this.#parts.get(chip)?.drives(pin) ?? []);
    const after = levels.includes(1) ? 1 : levels.includes(0) ? 0 : (this.#levels.get(net) ?? 0);
    if (after === this.#levels.get(net)) return false;
    this.#levels.set(net, after);
    return true;
  }
}

function frozen<T extends { readonly kind: string }>(bit: T): T {
  const never: Expression = { kind: "constant", value: 0 };
  return { ...bit, overrides: [], ...(bit.kind === "latch" ? { open: never } : {}) };
}

/** The state after one period, by state; undefined where the order of changes decides, or nothing comes to rest. */
export function everyNext(circuit: Circuit, delays: readonly UnitDelays[]): Int32Array | undefined {
  const maps = delays.map((delay) => {
    const board = new SlowBoard(circuit, delay);
    return Int32Array.from({ length: 2 ** board.bits.length }, (_, state) => {
      try {
        board.start(state);
        board.period();
        return board.state;
      } catch {
        return -1;
      }
    });
  });
  const [first] = maps;
  const isSure = first?.every((next, state) => next >= 0 && maps.every((map) => map[state] === next));
  return isSure ? first : undefined;
}

/** For each section that drives anything: the bits that decide what it does, as places in `bits`. */
export function conesOf(circuit: Circuit, bits: readonly BoardBit[]): readonly (readonly number[])[] {
  const chips = circuit.chips.filter(({ part }) => part.oscillation === undefined);
  const sections = chips.flatMap((chip) =>
    sectionsOf(chip.part.behaviour).flatMap((section) =>
      section.outputs.some(({ pin }) => chip.nets.has(pin)) ? [{ chip, section }] : [],
    ),
  );
  const readBy = ({ chip, section }: (typeof sections)[number]) => {
    const all = [
      ...section.storage.flatMap((bit) => [
        bit.kind === "register" ? bit.clock : bit.open,
        bit.next,
        ...bit.overrides.flatMap(({ when, value }) => [when, value]),
      ]),
      ...section.outputs.flatMap(({ value, enable }) => (enable ? [value, enable] : [value])),
    ].flatMap((expression) => namesIn(expression).filter((name) => dependsOn(expression, name, railsAt(chip))));
    const nets = all.flatMap((name) => chip.nets.get(name) ?? []);
    return sections.filter((other) =>
      other.section.outputs.some(({ pin }) => nets.includes(other.chip.nets.get(pin) as Net)),
    );
  };
  return sections.map((start) => {
    const found = new Set([start]);
    for (const one of found) for (const other of readBy(one)) found.add(other);
    return bits.flatMap(({ chip, name }, place) =>
      [...found].some((one) => one.chip === chip && one.section.storage.some((bit) => bit.name === name))
        ? [place]
        : [],
    );
  });
}

/** Levels of pins that are on a rail. */
function railsAt({ nets }: Chip): Known {
  return new Map([...nets].flatMap(([pin, { rail }]) => (rail ? [[pin, rail === "high" ? HIGH : LOW] as const] : [])));
}

/** What all start states of some bits that depend on no others come to. */
export interface Fate {
  readonly cycles: number;
  /** Most periods until a state on the cycle of the state 0 is reached; undefined where some state never does. */
  readonly periods: number | undefined;
  readonly cyclePeriods: number;
}

/** Follows every state by itself. `next` is of all bits; `cone` those that count. */
export function fateOf(next: Int32Array, cone: readonly number[]): Fate {
  const mask = cone.reduce((sum, place) => sum | (1 << place), 0);
  const states = [...new Set(Array.from(next, (_, state) => state & mask))];
  const step = (state: number) => (next[state] as number) & mask;
  const onCycle = (from: number) => {
    let state = from;
    for (let n = 0; n <= states.length; n++) state = step(state);
    const cycle = [state];
    for (let at = step(state); at !== state; at = step(at)) cycle.push(at);
    return cycle;
  };
  const proved = new Set(onCycle(0));
  const cycles = new Set(states.map((state) => Math.min(...onCycle(state))));
  let periods: number | undefined = 0;
  for (const start of states) {
    let state = start;
    let taken = 0;
    while (!proved.has(state) && taken <= states.length) {
      state = step(state);
      taken++;
    }
    periods = periods === undefined || taken > states.length ? undefined : Math.max(periods, taken);
  }
  return { cycles: cycles.size, periods, cyclePeriods: proved.size };
}
