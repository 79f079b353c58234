import {
  ALWAYS,
  type Behaviour,
  NEVER,
  type Pin,
  StateChange,
  type Truth,
  TruthDiagrams,
  movesName,
} from "../parts/index.js";
import { type FunctionUnit, hiddenBits } from "./function-units.js";

/** What a pin does in a row: levels `L` and `H`, `edge` the active edge of a clock. */
export type PinState = "L" | "H" | "edge";

/** What an output or a bit is after a row's edge, or while nothing moves. */
export type Result =
  | { readonly kind: "low" | "high" | "undriven" | "kept" | "toggled" | "count up" | "count down" }
  /** The level of an input pin, or what a storage bit held before. */
  | { readonly kind: "level of" | "opposite of"; readonly name: string };

/** One row of a function table. */
export interface FunctionRow {
  /** States that a pin may be in; pins that are absent do not matter. */
  readonly given: ReadonlyMap<string, ReadonlySet<PinState>>;
  /** One for each output of the unit, then one for each of its hidden bits. */
  readonly results: readonly Result[];
}

/** Beyond these a table is no longer readable. */
const MOST_ROWS = 16;

/**
 * The rows of a unit's function table, the commanding inputs first, each with as few inputs given as its results need; rows
 * may overlap where they agree. Undefined where it would take more rows than one can read.
 */
export function functionRows(
  behaviour: Behaviour,
  unit: FunctionUnit,
): { readonly inputs: readonly string[]; readonly rows: readonly FunctionRow[] } | undefined {
  const search = new RowSearch(behaviour, unit);
  const rows = search.rows();
  if (!rows) return undefined;
  // Of plain logic what one input decides comes first; any order is right, as rows agree where they overlap.
  const ordered = unit.bits.length > 0 ? rows : [...rows].sort((a, b) => a.given.size - b.given.size);
  return { inputs: search.inputs, rows: ordered };
}

type Given = ReadonlyMap<string, ReadonlySet<PinState>>;

/** A function of the table, before and after; `enable` for outputs that can be undriven. */
interface Shown {
  readonly before: Truth;
  readonly after: Truth;
  readonly enable: Truth;
}

class RowSearch {
  readonly #diagrams = new TruthDiagrams();
  readonly #shown: readonly Shown[];
  readonly #bits: readonly Shown[];
  /** Names of the unit's bits. */
  readonly #own: ReadonlySet<string>;
  readonly #change: StateChange;
  /** Inputs of the table: pins, and bits where a table of plain logic reads them. */
  readonly #pins: readonly string[];
  /** Clock pins whose active edge acts on the unit. */
  readonly #moving: ReadonlySet<string>;
  readonly #groups: ReadonlyMap<string, string>;
  readonly #commands: ReadonlySet<string>;

  constructor(behaviour: Behaviour, { outputs, bits }: FunctionUnit) {
    const own = new Set(bits.map(({ name }) => name));
    // Registers of other units count as inputs; a latch that helps a clock is followed to its pins.
    const outside = behaviour.storage.filter(
      ({ name, kind }) => !own.has(name) && (kind === "register" || own.size === 0),
    );
    this.#change = new StateChange(behaviour, this.#diagrams, new Set(outside.map(({ name }) => name)));
    const shown = (name: string) => ({ ...this.#change.of({ kind: "name", name }), enable: ALWAYS });
    this.#bits = bits.map(({ name }) => shown(name));
    this.#own = own;
    this.#shown = [
      ...outputs.map(({ value, enable }) => ({
        ...this.#change.of(value),
        enable: enable ? this.#change.of(enable).after : ALWAYS,
      })),
      ...hiddenBits({ outputs, bits }).map(({ name }) => shown(name)),
    ];
    const used = new Set(
      this.#shown.flatMap((one) => [one.after, one.enable]).flatMap((f) => [...this.#diagrams.namesIn(f)]),
    );
    const isClocked = bits.length > 0;
    const moving = [...this.#change.clocks.keys()].filter((pin) => isClocked && used.has(movesName(pin)));
    this.#commands = new Set(
      bits
        .flatMap(({ overrides }) => overrides)
        .flatMap(({ when }) => [...this.#diagrams.namesIn(this.#change.of(when).after)]),
    );
    const enables = new Set(this.#shown.flatMap(({ enable }) => [...this.#diagrams.namesIn(enable)]));
    const isMoving = new Set(moving);
    const rank = (pin: string) => (this.#commands.has(pin) ? 0 : enables.has(pin) ? 1 : isMoving.has(pin) ? 2 : 3);
    const inputs = behaviour.pins.filter(({ name }) => used.has(name) || isMoving.has(name));
    this.#pins = [
      ...mostSignificantFirst(inputs)
        .sort((a, b) => rank(a.name) - rank(b.name))
        .map(({ name }) => name),
      // The table of a carry has the count among its inputs.
      ...(isClocked ? [] : behaviour.storage.map(({ name }) => name).filter((name) => used.has(name))),
    ];
    this.#groups = new Map(behaviour.pins.map(({ name, group, role }) => [name, role === "in-out" ? "in-out" : group]));
    this.#moving = isMoving;
  }

  /** The inputs of the table, in the order of its columns. */
  get inputs(): readonly string[] {
    return this.#pins;
  }

  rows(): readonly FunctionRow[] | undefined {
    const found: FunctionRow[] = [];
    const visit = (given: Given): boolean => {
      const results = this.#resultsOf(given);
      if (results) found.push({ given, results });
      else {
        const parts = this.#split(given);
        if (parts === undefined) return false;
        // Rows that need no more come first, as a sheet puts clear before load before count.
        const ordered = [...parts].sort((a, b) => Number(!this.#resultsOf(a)) - Number(!this.#resultsOf(b)));
        for (const part of ordered) if (!this.#isImpossible(part) && !visit(part)) return false;
      }
      return found.length <= 4 * MOST_ROWS;
    };
    if (!visit(new Map())) return undefined;
    const wide = found.map((row) => this.#widened(row));
    const kept = wide.filter(
      (row, i) => !wide.some((other, j) => covers(other, row) && (j < i || !covers(row, other))),
    );
    return kept.length <= MOST_ROWS ? kept : undefined;
  }

  /** The levels of every combination of the clock pins that a row leaves open, with the row's own levels. */
  #cases(given: Given): readonly ReadonlyMap<string, 0 | 1>[] {
    let cases: readonly ReadonlyMap<string, 0 | 1>[] = [new Map()];
    for (const pin of this.#pins) {
      const states = given.get(pin);
      const edge = this.#moving.has(pin) ? this.#change.clocks.get(pin) : undefined;
      if (edge === undefined) {
        const [only] = states ?? [];
        if (states?.size === 1 && only !== undefined) {
          cases = cases.map((levels) => new Map(levels).set(pin, only === "H" ? 1 : 0));
        }
        continue;
      }
      cases = cases.flatMap((levels) =>
        [...(states ?? everyState(true))].flatMap((state) => {
          const moves = state === "edge";
          if (moves && [...this.#moving].some((other) => levels.get(movesName(other)) === 1)) return [];
          const level = moves ? Number(edge === "rise") : Number(state === "H");
          return [new Map(levels).set(pin, level === 1 ? 1 : 0).set(movesName(pin), moves ? 1 : 0)];
        }),
      );
    }
    return cases;
  }

  /** No row has two clocks moving at once. */
  #isImpossible(given: Given): boolean {
    return this.#cases(given).length === 0;
  }

  /** The results that a row has whatever the inputs that it leaves open; undefined where they depend on those. */
  #resultsOf(given: Given): readonly Result[] | undefined {
    let first: readonly Result[] | undefined;
    for (const levels of this.#cases(given)) {
      const results = this.#resultsAt(given, levels);
      if (!results || (first && !isSame(first, results))) return undefined;
      first ??= results;
    }
    return first;
  }

  #resultsAt(given: Given, levels: ReadonlyMap<string, 0 | 1>): readonly Result[] | undefined {
    const results: Result[] = [];
    for (const shown of this.#shown) {
      const result = this.#resultOf(shown, given, levels);
      if (!result) return this.#counting(levels);
      results.push(result);
    }
    return results;
  }

  #resultOf(shown: Shown, given: Given, levels: ReadonlyMap<string, 0 | 1>): Result | undefined {
    const enable = this.#diagrams.given(shown.enable, levels);
    if (enable === NEVER) return { kind: "undriven" };
    const after = this.#diagrams.given(shown.after, levels);
    if (enable !== ALWAYS) return undefined;
    if (after === NEVER || after === ALWAYS) return { kind: after === ALWAYS ? "high" : "low" };
    const before = this.#diagrams.given(shown.before, levels);
    const names = [...this.#diagrams.namesIn(after)];
    if (names.every((name) => this.#own.has(name))) {
      if (after === before) return { kind: "kept" };
      if (after === this.#diagrams.not(before)) return { kind: "toggled" };
    }
    const literal = this.#diagrams.literal(after);
    if (!literal) return undefined;
    const { name, inverted } = literal;
    if (this.#pins.includes(name) && !this.#isData(name, given)) return undefined;
    return { kind: inverted ? "opposite of" : "level of", name };
  }

  /** Whether a pin stands in the table by its level alone: one of three or more alike of which none is given. */
  #isData(pin: string, given: Given): boolean {
    const members = this.#membersOf(pin);
    const isMany = this.#groups.get(pin) === "in-out" || members.length > 2;
    return isMany && !members.some((name) => given.has(name));
  }

  /** The bits as a binary number, the first bit the least, one more or one less than before. */
  #counting(levels: ReadonlyMap<string, 0 | 1>): readonly Result[] | undefined {
    if (this.#bits.length < 2) return undefined;
    const held = this.#bits.map(({ before }) => this.#diagrams.given(before, levels));
    const next = this.#bits.map(({ after }) => this.#diagrams.given(after, levels));
    for (const [kind, carries] of [
      ["count up", (bit: Truth) => bit],
      ["count down", (bit: Truth) => this.#diagrams.not(bit)],
    ] as const) {
      let carry: Truth = ALWAYS;
      const matches = held.every((bit, i) => {
        const expected = this.#diagrams.xor(bit, carry);
        carry = this.#diagrams.and(carry, carries(bit));
        return next[i] === expected;
      });
      const areDriven = this.#shown.every(({ enable }) => this.#diagrams.given(enable, levels) === ALWAYS);
      if (matches && areDriven) return this.#shown.map(() => ({ kind }));
    }
    return undefined;
  }

  /** The rows that a row falls into when one more input is given; the input that decides most. */
  #split(given: Given): readonly Given[] | undefined {
    const decides = (name: string) =>
      this.#shown.filter(({ after, enable }) =>
        this.#cases(given).some((levels) =>
          [after, enable].some((f) => this.#diagrams.namesIn(this.#diagrams.given(f, levels)).has(name)),
        ),
      ).length;
    const candidates = this.#pins.flatMap((pin, order) => {
      const parts = this.#partsOf(pin, given);
      const weight = this.#moving.has(pin) ? 1 : decides(pin);
      if (parts.length < 2 || weight === 0) return [];
      const settled = parts.filter((part) => this.#resultsOf(part) && !this.#isImpossible(part)).length;
      const isClock = this.#moving.has(pin);
      const isOneOfMany = !isClock && this.#membersOf(pin).length > 2;
      const commands = Number(this.#commands.has(pin));
      return [{ parts, rank: [Number(isOneOfMany), -settled, -commands, -Number(isClock), -weight, order] }];
    });
    candidates.sort((a, b) => compare(a.rank, b.rank));
    return candidates[0]?.parts;
  }

  /** Inputs of the table that bear one name on a data sheet: `DATA` A to D. */
  #membersOf(pin: string): readonly string[] {
    const group = this.#groups.get(pin);
    return group === undefined ? [pin] : this.#pins.filter((name) => this.#groups.get(name) === group);
  }

  #partsOf(pin: string, given: Given): readonly Given[] {
    const states = given.get(pin);
    const isClock = this.#moving.has(pin);
    const all = states ?? everyState(isClock);
    const parts: readonly (readonly PinState[])[] =
      all.has("edge") && all.size === 3 ? [["edge"], ["L", "H"]] : [...all].map((state) => [state]);
    return parts.map((part) => new Map(given).set(pin, new Set(part)));
  }

  /** The same row with every input left open that its results do not need. An edge stays an edge, a clear a clear. */
  #widened({ given, results }: FunctionRow): FunctionRow {
    let wide = given;
    for (const [pin, states] of [...given].reverse()) {
      if (states.has("edge") || this.#commands.has(pin)) continue;
      const open = new Map([...wide].filter(([name]) => name !== pin));
      const steady = new Map(wide).set(pin, new Set<PinState>(["L", "H"]));
      for (const tried of this.#moving.has(pin) ? [open, steady] : [open]) {
        const found = this.#resultsOf(tried);
        if (!found || !isSame(found, results)) continue;
        wide = tried;
        break;
      }
    }
    return { given: wide, results };
  }
}

function everyState(isClock: boolean): ReadonlySet<PinState> {
  return new Set(isClock ? ["L", "H", "edge"] : ["L", "H"]);
}

function isSame(one: readonly Result[], other: readonly Result[]): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

/** Whether a row says all that another does. */
function covers(row: FunctionRow, other: FunctionRow): boolean {
  if (!isSame(row.results, other.results)) return false;
  return [...row.given].every(([pin, states]) => {
    const theirs = other.given.get(pin);
    return theirs !== undefined && [...theirs].every((state) => states.has(state));
  });
}

function compare(one: readonly number[], other: readonly number[]): number {
  for (const [i, value] of one.entries()) {
    const difference = value - (other[i] ?? 0);
    if (difference !== 0) return difference;
  }
  return 0;
}

/** Pins that select, as sheets list them: C B A, S1 S0, so that the rows count in binary. */
function mostSignificantFirst(pins: readonly Pin[]): Pin[] {
  const selects = pins.filter(({ group }) => selectGroups.has(group)).reverse();
  return pins.map((pin) => (selectGroups.has(pin.group) ? (selects.shift() ?? pin) : pin));
}

const selectGroups: ReadonlySet<string> = new Set(["SELECT", "S"]);
