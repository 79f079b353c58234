import { type Behaviour, type Storage, memoryPorts } from "./behaviour.js";
import { type Cause, causesOf, opposite } from "./causes.js";
import { responseTo } from "./dependence.js";
import { type Expression, namesIn } from "./expression.js";
import type { Edge } from "./figures.js";

/** `pin` must be steady around an edge of `reference`. */
export interface Window {
  readonly pin: string;
  readonly reference: string;
  readonly edge: Edge;
  /** What that edge does: clocks a register, closes a latch, ends an asynchronous load. */
  readonly ends: "clock" | "latch" | "override";
  /**
   * False where the pin acts through a storage bit before (the 595's shift clock before its register clock): such a pin has
   * a set-up time, but may act at the same time or later without harm.
   */
  readonly hold: boolean;
  /** The storage bits that take the data; their expressions say when the window counts. */
  readonly storage: readonly string[];
}

/** The least time that a pin must stay at a level. */
export interface Width {
  readonly pin: string;
  readonly level: "high" | "low";
  readonly of: "clock" | "latch enable" | "override" | "write strobe";
}

/** From the edge that releases an asynchronous pin to the clock's next. */
export interface Recovery {
  readonly pin: string;
  readonly edge: Edge;
  readonly reference: string;
  readonly referenceEdge: Edge;
  readonly storage: readonly string[];
}

/** A pin that clocks registers, with the edge that does. */
export interface ClockPin {
  readonly pin: string;
  readonly edge: Edge;
}

export interface Requirements {
  readonly windows: readonly Window[];
  readonly widths: readonly Width[];
  readonly recoveries: readonly Recovery[];
  /** Pins with a least clock period. */
  readonly clocks: readonly ClockPin[];
}

const perBehaviour = new WeakMap<Behaviour, Requirements>();

/**
 * What a behaviour asks of its inputs. When each counts is not stored: a window counts where `dependsOn` says that the bit's
 * next value can depend on the pin, a width or recovery where the bit's clock or override can. A memory's own times (address
 * and data around a write) go by the sheet's symbols; only the widths of its strobes are here.
 */
export function requirementsOf(behaviour: Behaviour): Requirements {
  const known = perBehaviour.get(behaviour);
  if (known) return known;
  const bits: Bits = { causes: causesOf(behaviour), named: new Map(behaviour.storage.map((bit) => [bit.name, bit])) };
  const found = behaviour.storage.map((bit) => (bit.kind === "register" ? ofRegister(bit, bits) : ofLatch(bit, bits)));
  const windows = merged(found.flatMap((one) => one.windows));
  const strobes = memoryPorts(behaviour).flatMap(({ write }): readonly Width[] =>
    write
      ? edgesThat("rise", write).map(({ pin, edge }) => ({ pin, level: levelAfter(edge), of: "write strobe" }))
      : [],
  );
  const requirements: Requirements = {
    windows: windows.filter((one) => one.hold || !windows.some((other) => other.hold && isSameTime(one, other))),
    widths: distinct([...found.flatMap((one) => one.widths), ...strobes], ({ pin, level }) => `${pin} ${level}`),
    recoveries: merged(found.flatMap((one) => one.recoveries)),
    clocks: distinct(
      found.flatMap((one) => one.clocks),
      ({ pin, edge }) => `${pin} ${edge}`,
    ),
  };
  perBehaviour.set(behaviour, requirements);
  return requirements;
}

interface Bits {
  readonly causes: ReadonlyMap<string, readonly Cause[]>;
  readonly named: ReadonlyMap<string, Storage>;
}

type Register = Extract<Storage, { kind: "register" }>;
type Latch = Extract<Storage, { kind: "latch" }>;

/** The pin edges that make an expression rise or fall. */
function edgesThat(answer: Edge, expression: Expression): readonly ClockPin[] {
  return namesIn(expression).flatMap((pin) => {
    const { rises, falls } = responseTo(expression, pin);
    return [...(rises ? [{ pin, edge: answer }] : []), ...(falls ? [{ pin, edge: opposite(answer) }] : [])];
  });
}

/** Clock pins of a register; of one that another bit clocks, the clock pins of that bit. */
function clockPinsOf(clock: Expression, bits: Bits): readonly ClockPin[] {
  return distinct(
    edgesThat("rise", clock).flatMap(({ pin, edge }) => {
      const inner = bits.causes.get(pin);
      if (!inner) return [{ pin, edge }];
      return inner.filter((cause) => cause.through === "clock" && cause.bit === edge);
    }),
    ({ pin, edge }) => `${pin} ${edge}`,
  ).map(({ pin, edge }) => ({ pin, edge }));
}

function ofRegister(bit: Register, bits: Bits): Requirements {
  const storage = [bit.name];
  const clocks = clockPinsOf(bit.clock, bits);
  const overrides = overrideInputs(bit, bits);
  const windows = clocks.flatMap(({ pin: reference, edge }) => {
    const window = (pin: string, hold: boolean): Window => ({ pin, reference, edge, ends: "clock", hold, storage });
    const gates = namesIn(bit.clock).filter((name) => !bits.causes.has(name) && name !== reference);
    return [
      ...gates.map((pin) => window(pin, true)),
      ...dataOf(bit, bit.next, bits)
        .filter(({ pin }) => pin !== reference && !overrides.has(pin))
        .map(({ pin, hold }) => window(pin, hold)),
    ];
  });
  return {
    windows: [...windows, ...overrideWindows(bit, bits)],
    widths: [
      ...clocks.flatMap(({ pin }): readonly Width[] => [
        { pin, level: "high", of: "clock" },
        { pin, level: "low", of: "clock" },
      ]),
      ...overrideWidths(bit),
    ],
    recoveries: bit.overrides.flatMap(({ when }) =>
      edgesThat("fall", when).flatMap(({ pin, edge }) =>
        clocks
          .filter(({ pin: reference }) => reference !== pin)
          .map((clock) => ({ pin, edge, reference: clock.pin, referenceEdge: clock.edge, storage })),
      ),
    ),
    clocks,
  };
}

function ofLatch(bit: Latch, bits: Bits): Requirements {
  const closing = edgesThat("fall", bit.open);
  return {
    windows: [
      ...closing.flatMap(({ pin: reference, edge }) =>
        dataOf(bit, bit.next, bits)
          .filter(({ pin }) => pin !== reference)
          .map(({ pin, hold }): Window => ({ pin, reference, edge, ends: "latch", hold, storage: [bit.name] })),
      ),
      ...overrideWindows(bit, bits),
    ],
    widths: [
      ...closing.map(({ pin, edge }): Width => ({ pin, level: levelAfter(opposite(edge)), of: "latch enable" })),
      ...overrideWidths(bit),
    ],
    recoveries: [],
    clocks: [],
  };
}

interface DataPin {
  readonly pin: string;
  /** Whether the pin reaches the bit with no other bit between. */
  readonly hold: boolean;
}

/**
 * Pins that the data of a bit come from. Bits before it that change by the same clock or the same override as the bit itself
 * bring no pin: what they take over at that moment comes too late to be taken over in turn.
 */
function dataOf(bit: Storage, data: Expression, { causes, named }: Bits): readonly DataPin[] {
  return namesIn(data).flatMap((name): readonly DataPin[] => {
    const before = named.get(name);
    if (!before) return [{ pin: name, hold: true }];
    if (name === bit.name) return [];
    return (causes.get(name) ?? [])
      .filter(({ through }) => !(through === "clock" && sameClock(before, bit)))
      .filter(({ through }) => !(through === "override" && sameOverrides(before, bit)))
      .map(({ pin }) => ({ pin, hold: false }));
  });
}

function isSameTime(one: Window, other: Window): boolean {
  return one.pin === other.pin && one.reference === other.reference && one.edge === other.edge;
}

function sameClock(one: Storage, other: Storage): boolean {
  return one.kind === "register" && other.kind === "register" && isSame(one.clock, other.clock);
}

function sameOverrides(one: Storage, other: Storage): boolean {
  return one.overrides.every(({ when }) => other.overrides.some((override) => isSame(when, override.when)));
}

function isSame(one: Expression, other: Expression): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

/** Data that an asynchronous load takes must be steady when it ends. */
function overrideWindows(bit: Storage, bits: Bits): readonly Window[] {
  return bit.overrides.flatMap(({ when, value }) =>
    edgesThat("fall", when).flatMap(({ pin: reference, edge }) =>
      dataOf(bit, value, bits)
        .filter(({ pin }) => pin !== reference && !bit.overrides.some((one) => namesIn(one.when).includes(pin)))
        .map(({ pin, hold }): Window => ({ pin, reference, edge, ends: "override", hold, storage: [bit.name] })),
    ),
  );
}

function overrideWidths(bit: Storage): readonly Width[] {
  return bit.overrides.flatMap(({ when }) =>
    edgesThat("rise", when).map(({ pin, edge }): Width => ({ pin, level: levelAfter(edge), of: "override" })),
  );
}

/** Pins that act on a bit through its overrides; recovery, not set-up, keeps them apart from its clock. */
function overrideInputs(bit: Storage, bits: Bits): ReadonlySet<string> {
  const names = bit.overrides.flatMap(({ when, value }) => [...namesIn(when), ...namesIn(value)]);
  return new Set(names.flatMap((name) => bits.causes.get(name)?.map(({ pin }) => pin) ?? [name]));
}

const levelAfter = (edge: Edge) => (edge === "rise" ? "high" : "low");

/** The first of those that have the same key. */
function distinct<T>(items: readonly T[], key: (item: T) => string): readonly T[] {
  const first = new Map<string, T>();
  for (const item of items) if (!first.has(key(item))) first.set(key(item), item);
  return [...first.values()];
}

/** Joins the storage of requirements that are otherwise the same. */
function merged<T extends { readonly storage: readonly string[] }>(items: readonly T[]): readonly T[] {
  const groups = new Map<string, T>();
  for (const item of items) {
    const key = JSON.stringify({ ...item, storage: [] });
    const same = groups.get(key);
    groups.set(key, same ? { ...same, storage: [...new Set([...same.storage, ...item.storage])] } : item);
  }
  return [...groups.values()];
}
