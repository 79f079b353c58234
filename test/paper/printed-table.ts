import { behaviourOf } from "../../src/parts/index.js";
import { type FunctionTable, functionView } from "../../src/paper/function-table.js";

/** One row of a printed table by column: what stands under each input and each output. */
export interface PrintedRow {
  readonly inputs: ReadonlyMap<string, string>;
  readonly outputs: ReadonlyMap<string, string>;
}

/** The table that a part page prints for a function; `index` where it prints several. */
export function printedTable(functionNumber: string, index = 0): FunctionTable {
  const behaviour = behaviourOf(functionNumber);
  const table = behaviour && functionView(behaviour).tables[index];
  if (!table) throw new Error(`no table ${index} of a ${functionNumber}`);
  return table;
}

/** Rows of a sheet written as text: inputs left of the bar, outputs right of it, the heading first. */
export function sheetRows(text: string): readonly PrintedRow[] {
  const lines = text.split("\n").filter((line) => line.trim() !== "");
  const [[inputs = [], outputs = []] = [], ...rows] = lines.map((line) =>
    line.split("|").map((side) => side.trim().split(/\s+/)),
  );
  return rows.map(([given = [], shown = []]) => ({ inputs: paired(inputs, given), outputs: paired(outputs, shown) }));
}

export function rowsOf(table: FunctionTable): readonly PrintedRow[] {
  return table.rows.map((row) => ({
    inputs: paired(table.inputs, row.inputs),
    outputs: paired(table.outputs, row.outputs),
  }));
}

function paired(names: readonly string[], cells: readonly string[]): ReadonlyMap<string, string> {
  if (names.length !== cells.length) throw new Error(`${cells.length} cells under ${names.length} names`);
  return new Map(names.map((name, i) => [name, cells[i] ?? ""]));
}

const states: Readonly<Record<string, string>> = {
  L: "L",
  H: "H",
  "↑": "↑",
  "↓": "↓",
  X: "LH↑↓",
  "no↑": "LH↓",
  "no↓": "LH↑",
};

/** The states that a mark stands for. */
function statesOf(mark: string): string {
  const found = states[mark.replace(" ", "")];
  if (found === undefined) throw new Error(`'${mark}' is no mark of an input`);
  return found;
}

/** Whether two rows can both be meant: some state of every input is in both. */
export function overlap(one: PrintedRow, other: PrintedRow): boolean {
  const columns = new Set([...one.inputs.keys(), ...other.inputs.keys()]);
  return [...columns].every((name) => {
    const theirs = statesOf(other.inputs.get(name) ?? "X");
    return [...statesOf(one.inputs.get(name) ?? "X")].some((state) => theirs.includes(state));
  });
}

/** Whether every case of `row` is one of `wide`. */
export function within(row: PrintedRow, wide: PrintedRow): boolean {
  return [...wide.inputs].every(([name, mark]) => {
    const allowed = statesOf(mark);
    return [...statesOf(row.inputs.get(name) ?? "X")].every((state) => allowed.includes(state));
  });
}

/** Outputs that two rows both name, with the same cells. */
export function sameOutputs(one: PrintedRow, other: PrintedRow): boolean {
  return [...one.outputs].every(([name, cell]) => !other.outputs.has(name) || other.outputs.get(name) === cell);
}
