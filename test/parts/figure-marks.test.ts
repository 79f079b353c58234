import { describe, expect, test } from "vitest";
import {
  type Delay,
  type MemorySymbol,
  type Missing,
  type Requirement,
  type Source,
  arcsOf,
  families,
  familyFigures,
  functionsOf,
  memoryRows,
  requirementsOf,
} from "../../src/parts/index.js";
import { range } from "../../src/quantity/index.js";
import { atHome, isMissing, part, usualConditions } from "./conditions.js";

type Answer = Delay | Requirement | Missing;

const readTimes: readonly MemorySymbol[] = ["tRC", "tAA"];
const writeTimes: readonly MemorySymbol[] = ["tWC", "tAW", "tCW", "tAS", "tWP", "tDW", "tDH", "tWR"];

/** Everything that a part's behaviour may be asked for. */
function answersOf({ behaviour, figures }: ReturnType<typeof part>): readonly Answer[] {
  const asked = requirementsOf(behaviour);
  const symbols = behaviour.memory ? [...readTimes, ...(behaviour.memory.write ? writeTimes : [])] : [];
  return [
    ...arcsOf(behaviour).flatMap(({ from, to, moves }) =>
      moves.map(({ edge, change }) => figures.delay(from, edge, to, change)),
    ),
    ...asked.windows.map(({ pin, reference }) => figures.window("set-up", pin, reference)),
    ...asked.windows.flatMap(({ pin, reference, hold }) => (hold ? [figures.window("hold", pin, reference)] : [])),
    ...asked.widths.map(({ pin, level }) => figures.width(pin, level)),
    ...asked.recoveries.map(({ pin, reference }) => figures.recovery(pin, reference)),
    ...asked.clocks.map(({ pin }) => figures.period(pin)),
    ...symbols.map((symbol) => figures.memory(symbol)),
  ];
}

const logicParts = families.flatMap((family) =>
  functionsOf(family).map((fn) => part(`74${family}${fn}`, usualConditions(family))),
);
const memoryParts = memoryRows.map(({ part: number, supply }) =>
  part(number, { ...atHome, supplyVolts: range(supply[0], supply[1]) }),
);

const sourcesOf = (answer: Exclude<Answer, Missing>): readonly Source[] =>
  "max" in answer && answer.minimumSource ? [answer.source, answer.minimumSource] : [answer.source];

describe("every figure of every part", () => {
  const answers = [...logicParts, ...memoryParts].map((one) => ({ number: one.number, answers: answersOf(one) }));

  test("has a publisher, a document and a column, or is missing under the part's name", () => {
    const bare = answers.flatMap(({ number, answers: all }) =>
      all.flatMap((answer) => {
        if (isMissing(answer)) return answer.missing.startsWith(`${number} `) ? [] : [answer.missing];
        return sourcesOf(answer)
          .filter(({ publisher, document, column }) => !publisher || !document || !column)
          .map(() => number);
      }),
    );
    expect(bare).toEqual([]);
    expect(answers.flatMap((one) => one.answers).length).toBeGreaterThan(10_000);
  });

  test("is a whole number of femtoseconds, and no time asked for is below zero but set-up, hold and recovery", () => {
    const odd = answers.flatMap(({ number, answers: all }) =>
      all.flatMap((answer) => {
        if (isMissing(answer)) return [];
        const times = "max" in answer ? [answer.min, answer.typical, answer.max] : [answer.time];
        const mayBeNegative = "kind" in answer && /set-up|hold|recovery/.test(answer.kind);
        const isOdd = times.some((time) => !Number.isSafeInteger(time) || (time < 0 && !mayBeNegative));
        return isOdd ? [`${number} ${times.join(" ")}`] : [];
      }),
    );
    expect(odd).toEqual([]);
  });

  test("of a row that was recalled keeps that mark", () => {
    // A part all of whose rows were recalled has no figure without the mark.
    const recalled = families.flatMap((family) => {
      const { rows } = familyFigures(family);
      return functionsOf(family)
        .filter((fn) => rows.filter((row) => row.function === fn).every((row) => row.fromMemory))
        .map((fn) => `74${family}${fn}`);
    });
    expect(recalled.length).toBeGreaterThan(20);
    const unmarked = answers.filter(
      ({ number, answers: all }) =>
        recalled.includes(number) &&
        all.some((answer) => !isMissing(answer) && sourcesOf(answer).some(({ fromMemory }) => !fromMemory)),
    );
    expect(unmarked.map(({ number }) => number)).toEqual([]);
    const memories = new Map(memoryRows.map((row) => [row.part, row.fromMemory]));
    const wrong = answers.filter(
      ({ number, answers: all }) =>
        memories.has(number) &&
        all.some((answer) => !isMissing(answer) && answer.source.fromMemory !== memories.get(number)),
    );
    expect(wrong.map(({ number }) => number)).toEqual([]);
  });
});

test("rows whose table says that no sheet was at hand are marked as recalled", () => {
  const unmarked = families.flatMap((family) =>
    familyFigures(family).rows.filter(
      ({ fromMemory, delays, requirements, table = "" }) =>
        /from memory|recalled/.test(table) &&
        !fromMemory &&
        ![...delays, ...requirements].every((one) => one.fromMemory),
    ),
  );
  expect(unmarked).toEqual([]);
});

describe("the memories on record", () => {
  const gaps = memoryParts.map((one) => ({
    number: one.number,
    family: one.family,
    missing: answersOf(one).flatMap((answer) => (isMissing(answer) ? [answer.missing] : [])),
  }));

  test("of static RAM have every read and write time, but for sheets of which only a page was read", () => {
    const halfRead = /^(IS61C|IC61C256AH|W24257|LH52256C|UM61256|AS7C256-|IS62LV256|GS71108A|CY7C1049BNV33)/; // read parts of a sheet
    const others = gaps.filter(
      ({ family, number, missing }) => family === "SRAM" && missing.length > 0 && !halfRead.test(number),
    );
    expect(others).toEqual([]);
    const whole = gaps.filter(({ family, missing }) => family === "SRAM" && missing.length === 0);
    expect(whole.length).toBeGreaterThanOrEqual(74);
  });

  test("that are only read lack nothing; of those that could be written nothing but the release by WE#", () => {
    const readOnly = gaps.filter(({ family }) => family !== "SRAM");
    const lacking = readOnly.flatMap(({ missing }) => missing);
    expect(lacking.filter((text) => !/ WE# to (IO|DQ)\d \(tWHZ\)/.test(text))).toEqual([]);
    expect(readOnly.filter(({ family, missing }) => family === "EPROM" && missing.length > 0)).toEqual([]);
  });
});
