import {
  type Behaviour,
  type Output,
  StateChange,
  type Truth,
  TruthDiagrams,
  type Memory,
  expressionText,
  memoryPorts,
  namesIn,
  requirementsOf,
} from "../parts/index.js";
import { type FunctionRow, type PinState, type Result, functionRows } from "./function-rows.js";
import { type AlikeUnits, functionUnits, hiddenBits } from "./function-units.js";
import { runsOf } from "./runs.js";

/** A data sheet's function table, derived from what the part does. */
export interface FunctionTable {
  /** What it is about where it is not the whole part: `each of 8 alike`. */
  readonly about: string;
  readonly inputs: readonly string[];
  readonly outputs: readonly string[];
  readonly rows: readonly FunctionTableRow[];
}

export interface FunctionTableRow {
  /** `L`, `H`, `X` either, `↑` `↓` the clock's edge, `no ↑` steady or the other edge. */
  readonly inputs: readonly string[];
  /**
   * `L`, `H`, `Z` undriven, `d` the level at input D, `Q0` what Q was before, `!` the opposite, `count` one further.
   */
  readonly outputs: readonly string[];
  /** `no change`, `counts up`; empty where the cells say it all. */
  readonly remark: string;
}

/** What a part does: tables, and for outputs that would need too many rows their logic. */
export interface FunctionView {
  readonly tables: readonly FunctionTable[];
  /** `P=Q# = !(...)`. */
  readonly logic: readonly string[];
}

/** Derives the function tables of a part. Memories and oscillator cans have their own short form. */
export function functionView(behaviour: Behaviour): FunctionView {
  if (behaviour.memory) {
    return { tables: memoryPorts(behaviour).map((port) => memoryTable(behaviour, port)), logic: [] };
  }
  if (behaviour.clockSource) return { tables: canTable(behaviour), logic: [] };
  const all = functionUnits(behaviour).map((units) => ({
    units,
    found: functionRows(behaviour, units.first),
  }));
  return {
    tables: all.flatMap(({ units, found }) => (found ? [tableOf(behaviour, units, found)] : [])),
    logic: all.flatMap(({ units, found }) => (found ? [] : units.first.outputs.map(logicOf))),
  };
}

function logicOf({ pin, value, enable }: Output): string {
  return `${pin} = ${expressionText(value)}${enable ? `, driven while ${expressionText(enable)}` : ""}`;
}

function tableOf(
  behaviour: Behaviour,
  units: AlikeUnits,
  { inputs, rows }: { readonly inputs: readonly string[]; readonly rows: readonly FunctionRow[] },
): FunctionTable {
  const { outputs, bits } = units.first;
  const storage = new Set(behaviour.storage.map(({ name }) => name));
  const shownBy = new Map(
    behaviour.outputs.flatMap(({ pin, value }) =>
      value.kind === "name" && storage.has(value.name) ? [[value.name, pin] as const] : [],
    ),
  );
  const hidden = hiddenBits(units.first);
  // Bits that nothing shows are worth a column only where they are few, or where there is nothing else to see.
  const showsHidden = outputs.length === 0 || outputs.length + hidden.length <= 9;
  const place = (column: string) => bits.findIndex(({ name }) => name === column || shownBy.get(name) === column);
  const columns = [
    ...outputs.map(({ pin }, index) => ({ name: pin, index })),
    ...(showsHidden ? hidden : []).map(({ name }, i) => ({ name, index: outputs.length + i })),
  ].sort((a, b) => (place(a.name) + 1 || Infinity) - (place(b.name) + 1 || Infinity) || a.index - b.index);

  const given = new Set(rows.flatMap((row) => [...row.given.keys()]));
  const pins = inputs.filter((name) => given.has(name));
  const named = rows.flatMap(({ results }) => results.flatMap((result) => ("name" in result ? [result.name] : [])));
  const label = labels(behaviour, units, [
    ...new Set([...pins, ...named].map((name) => shownBy.get(name) ?? name)),
    ...columns.map(({ name }) => name),
  ]);
  const edges = new Map(requirementsOf(behaviour).clocks.map(({ pin, edge }) => [pin, edge === "rise" ? "↑" : "↓"]));
  const moving = new Set(
    rows.flatMap((row) =>
      [...row.given].filter(([, states]) => states.has("edge") || states.size === 2).map(([pin]) => pin),
    ),
  );

  const level = (name: string) => {
    if (!storage.has(name)) return label(name).toLowerCase();
    const shown = label(shownBy.get(name) ?? name);
    return bits.length > 0 ? previous(shown) : shown;
  };
  const cell = (result: Result, column: string): string => {
    switch (result.kind) {
      case "low":
        return "L";
      case "high":
        return "H";
      case "undriven":
        return "Z";
      case "kept":
        return previous(label(column));
      case "toggled":
        return `!${previous(label(column))}`;
      case "count up":
      case "count down":
        return "count";
      case "level of":
        return level(result.name);
      case "opposite of":
        return `!${level(result.name)}`;
    }
  };
  const table = {
    about: aboutOf(
      units,
      columns.map(({ name }) => name),
    ),
    inputs: pins.map((name) => label(shownBy.get(name) ?? name)),
    outputs: columns.map(({ name }) => label(name)),
    rows: rows.map((row) => ({
      inputs: pins.map((pin) => mark(row.given.get(pin), moving.has(pin) ? edges.get(pin) : undefined)),
      outputs: columns.map(({ name, index }) => {
        const result = row.results[index];
        return result ? cell(result, name) : "";
      }),
      remark: remarkOf(columns.flatMap(({ index }) => row.results[index] ?? [])),
    })),
  };
  return inOneColumn(
    table,
    rows,
    columns.map(({ index }) => index),
  );
}

function mark(states: ReadonlySet<PinState> | undefined, edge: string | undefined): string {
  if (states === undefined) return "X";
  const [only] = states;
  if (states.size > 1) return edge === undefined ? "X" : `no ${edge}`;
  return only === "edge" ? (edge ?? "") : (only ?? "");
}

/** `QA0`: what QA was before; of an active-low output `Q0#`. */
function previous(name: string): string {
  return name.endsWith("#") ? `${name.slice(0, -1)}0#` : `${name}0`;
}

function remarkOf(results: readonly Result[]): string {
  const kinds = new Set(results.map(({ kind }) => kind));
  const [only] = kinds;
  if (kinds.size !== 1) return "";
  if (only === "kept") return "no change";
  if (only === "undriven") return "off";
  if (only === "toggled") return "toggles";
  return only === "count up" ? "counts up" : only === "count down" ? "counts down" : "";
}

/** Many outputs that do the same in every row take one column: `QA to QL`. */
function inOneColumn(table: FunctionTable, rows: readonly FunctionRow[], indices: readonly number[]): FunctionTable {
  const uniform = new Set(["low", "high", "undriven", "kept", "count up", "count down"]);
  const isUniform = rows.every(({ results }) => {
    const kinds = new Set(indices.map((index) => results[index]?.kind ?? ""));
    return kinds.size === 1 && [...kinds].every((kind) => uniform.has(kind));
  });
  if (!isUniform || table.outputs.length < 5) return table;
  return {
    ...table,
    outputs: [runsOf(table.outputs)],
    rows: table.rows.map((row) => ({
      ...row,
      outputs: [row.remark === "no change" ? "as before" : (row.outputs[0] ?? "")],
      remark: row.remark,
    })),
  };
}

/** Names without the number of the unit, where that leaves each column a name of its own. */
function labels(behaviour: Behaviour, { names }: AlikeUnits, columns: readonly string[]): (name: string) => string {
  const [first = [], second] = names;
  const differing = new Set(second ? first.filter((name, i) => name !== second[i]) : []);
  const groups = new Map(behaviour.pins.map(({ name, group }) => [name, group]));
  const tries: readonly ((name: string) => string)[] = [
    (name) => groups.get(name) ?? commonStart(name, names),
    (name) => name.replace(/^\d+/, ""),
    (name) => name,
  ];
  for (const attempt of tries) {
    const label = (name: string) => (differing.has(name) ? attempt(name) : name);
    if (new Set(columns.map(label)).size === new Set(columns).size) return label;
  }
  return (name) => name;
}

/** How the names begin that a bit has in the units that are alike: `c` of cA to cH. */
function commonStart(name: string, units: AlikeUnits["names"]): string {
  const at = (units[0] ?? []).indexOf(name);
  let start = name;
  for (const unit of units) while (!(unit[at] ?? "").startsWith(start)) start = start.slice(0, -1);
  return start === "" ? name : start;
}

function aboutOf({ names, first }: AlikeUnits, columns: readonly string[]): string {
  const isInside = first.outputs.length === 0;
  const inside = isInside ? ["inside, not at a pin"] : [];
  if (names.length === 1) return isInside ? `${inside[0]}, ${runsOf(columns)}` : "";
  const [own = []] = names;
  const members = columns.map((column) => runsOf(names.map((unit) => unit[own.indexOf(column)] ?? "")));
  return [...inside, `each of ${names.length} alike, ${members.join("; ")}`].join(", ");
}

/** Selects and enables of one port of a memory, and what its data pins do. */
function memoryTable(behaviour: Behaviour, memory: Memory): FunctionTable {
  const diagrams = new TruthDiagrams();
  const change = new StateChange(behaviour, diagrams);
  const [read, write] = [memory.read, memory.write ?? { kind: "constant" as const, value: 0 as const }].map(
    (e) => change.of(e).after,
  );
  const pins = behaviour.pins
    .map(({ name }) => name)
    .filter((name) => [memory.read, ...(memory.write ? [memory.write] : [])].some((e) => namesIn(e).includes(name)));
  const data = runsOf(memory.data);
  const rows: FunctionTableRow[] = [];
  const visit = (levels: ReadonlyMap<string, 0 | 1>): void => {
    const [reads, writes] = [read, write].map((f) => diagrams.given(f ?? 0, levels));
    const inputs = pins.map((pin) => (levels.has(pin) ? (levels.get(pin) === 1 ? "H" : "L") : "X"));
    if (writes === 1) rows.push({ inputs, outputs: ["data in"], remark: "writes" });
    else if (writes === 0 && reads === 1) rows.push({ inputs, outputs: ["data out"], remark: "reads" });
    else if (writes === 0 && reads === 0) rows.push({ inputs, outputs: ["Z"], remark: "off" });
    else {
      const isOpen = (f: Truth | undefined) => (pin: string) => !levels.has(pin) && diagrams.namesIn(f ?? 0).has(pin);
      const open = pins.find(isOpen(writes)) ?? pins.find(isOpen(reads));
      if (open === undefined) return;
      const off = open.endsWith("#") ? 1 : 0;
      for (const level of [off, 1 - off]) visit(new Map(levels).set(open, level === 1 ? 1 : 0));
    }
  };
  visit(new Map());
  return { about: "", inputs: pins, outputs: [data], rows };
}

function canTable({ clockSource }: Behaviour): readonly FunctionTable[] {
  if (!clockSource?.enable) return [];
  const [pin = ""] = namesIn(clockSource.enable);
  const rows = [
    { inputs: ["H"], outputs: ["runs"], remark: "" },
    { inputs: ["L"], outputs: ["Z"], remark: "off" },
  ];
  return [{ about: "", inputs: [pin], outputs: [clockSource.pin], rows }];
}
