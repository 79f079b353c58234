import { expect, it } from "vitest";
import { type Behaviour, behaviourOf, evaluate, parseExpression } from "../../src/parts/index.js";
import { randomNumbers } from "./random-bits.js";
import { type Level, zeroDelayChip } from "./zero-delay-chip.js";

/**
 * A data sheet's function table as text. Inputs left of the bar, outputs right of it:
 *
 *     CLR# CLK D | Q
 *     L    X   X | L
 *     H    ↑   H | H
 *     H    L   X | Q0
 *
 * H, L, X and the edges ↑ ↓ as in the sheets, `no↑` for a clock that stays or falls; `Z` is an output that drives nothing; `Q0` is what output Q was before the
 * row; small letters are the level at that input (`a` at A, `1d` at 1D); `!` inverts. Inputs that the table does not name
 * are as good as X: every combination is tried where there are few, else many at random.
 */
export interface FunctionTable {
  readonly function: string;
  readonly source: string;
  /** Numbers before every name of the table: `["1", "2"]` where the part has two alike. */
  readonly sections?: readonly string[];
  readonly table: string;
}

/** One test for each table. */
export function testFunctionTables(tables: readonly FunctionTable[]): void {
  for (const table of tables) {
    it(`the ${table.function} follows the function table of ${table.source}`, () => {
      expect(departuresFrom(table)).toEqual([]);
    });
  }
}

/** Cases tried of one row: all of nine open levels, or as many at random. */
const CASES = 512;

/** Every case in which the behaviour departs from the table, in words. */
export function departuresFrom({ function: number, table, sections = [""] }: FunctionTable): readonly string[] {
  const behaviour = behaviourOf(number);
  if (!behaviour) return [`no behaviour for ${number}`];
  const [heading = "", ...rows] = table.split("\n").filter((line) => line.trim() !== "");
  return sections.flatMap((section) => {
    const [inputs, outputs] = cells(heading).map((names) => names.map((name) => section + name));
    return rows.flatMap((row) => {
      const [given = [], expected] = cells(row);
      return withoutEdges(given).flatMap((marks) =>
        checkRow(behaviour, section, row.trim(), zip(inputs, marks), zip(outputs, expected)),
      );
    });
  });
}

/** A row for each thing that a clock without its edge can do. */
function withoutEdges(marks: readonly string[]): readonly (readonly string[])[] {
  const at = marks.findIndex((mark) => mark.startsWith("no"));
  if (at < 0) return [marks];
  const other = marks[at] === "no↑" ? "↓" : "↑";
  return ["L", "H", other].flatMap((mark) => withoutEdges([...marks.slice(0, at), mark, ...marks.slice(at + 1)]));
}

function cells(line: string): readonly (readonly string[])[] {
  return line.split("|").map((side) => side.trim().split(/\s+/));
}

function zip(names: readonly string[] = [], values: readonly string[] = []): readonly (readonly [string, string])[] {
  if (names.length !== values.length) throw new Error(`a row has ${values.length} of ${names.length} columns`);
  return names.map((name, i) => [name, values[i] ?? ""]);
}

function checkRow(
  behaviour: Behaviour,
  section: string,
  row: string,
  given: readonly (readonly [string, string])[],
  expected: readonly (readonly [string, string])[],
): readonly string[] {
  for (const [pin] of [...given, ...expected]) {
    if (!behaviour.pins.some(({ name }) => name === pin)) return [`${behaviour.function} has no pin ${pin}`];
  }
  const fixed = new Map(given.filter(([, mark]) => mark !== "X"));
  const open = [
    ...behaviour.pins.filter(({ role, name }) => (role === "input" || role === "in-out") && !fixed.has(name)),
    ...behaviour.storage,
  ].map(({ name }) => name);
  return casesOf(open).flatMap((chosen) => {
    const before: Record<string, Level> = {};
    const after: Record<string, Level> = {};
    for (const [pin, mark] of fixed) {
      const levels = LEVELS_OF_MARK[mark];
      if (!levels) throw new Error(`'${mark}' is no mark of a function table`);
      [before[pin], after[pin]] = levels;
    }
    const levels = { ...chosen, ...before };
    const chip = zeroDelayChip(behaviour, { storage: chosen, levels });
    const was = new Map(expected.map(([pin]) => [pin, chip.drives(pin)]));
    chip.set(after);
    return expected.flatMap(([pin, mark]) => {
      const want = expectation(mark, { ...chosen, ...after }, was, section);
      const got = chip.drives(pin);
      if (got === want) return [];
      return [`${behaviour.function} '${row}': ${pin} is ${got}, not ${want}, with ${JSON.stringify(levels)}`];
    });
  });
}

const LEVELS_OF_MARK: Readonly<Record<string, readonly [before: Level, after: Level]>> = {
  L: [0, 0],
  H: [1, 1],
  "↑": [0, 1],
  "↓": [1, 0],
};

function expectation(
  mark: string,
  inputs: Readonly<Record<string, Level>>,
  was: ReadonlyMap<string, Level | "Z">,
  section: string,
): Level | "Z" {
  if (mark === "H") return 1;
  if (mark === "L") return 0;
  if (mark === "Z") return "Z";
  return evaluate(parseExpression(mark), (name) => {
    const input = name.toUpperCase();
    const candidates = [inputs[section + input], inputs[input], was.get(section + name.replace(/0$/, ""))];
    const level = /[a-z]/.test(name) ? (candidates[0] ?? candidates[1]) : candidates[2];
    if (level === undefined || level === "Z") throw new Error(`'${name}' of the table is neither input nor output`);
    return level;
  });
}

function casesOf(names: readonly string[]): readonly Readonly<Record<string, Level>>[] {
  const exhaustive = 2 ** names.length <= CASES;
  const random = randomNumbers(1);
  return Array.from({ length: exhaustive ? 2 ** names.length : CASES }, (_, number) =>
    Object.fromEntries(
      names.map((name, i) => [name, exhaustive ? (((number >> i) & 1) as Level) : (random(2) as Level)]),
    ),
  );
}
