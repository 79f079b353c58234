import { describe, expect, test } from "vitest";
import { type FigureRow, behaviourOf, families, familyFigures } from "../../src/parts/index.js";
import type { RequirementRow } from "../../src/parts/figure-rows.js";
import { pinMatcher } from "../../src/parts/pin-matches.js";

const columns = ["25", "70", "85", "125"] as const;
const cell = (row: object, name: string): number | undefined =>
  (row as Readonly<Record<string, number | undefined>>)[name];

/** The printed values of a row, coolest column first. */
const cells = (row: object, prefix: string): readonly number[] =>
  columns.map((column) => cell(row, prefix + column)).filter((value) => value !== undefined);

describe.each(families)("the 74%s rows", (family) => {
  const { rows, sources } = familyFigures(family);
  const delays = rows.flatMap((row) => row.delays.map((delay) => ({ row, delay })));
  const requirements = rows.flatMap((row) => row.requirements.map((requirement) => ({ row, requirement })));

  test("name a publisher and a document that is on record", () => {
    const unnamed = rows.filter((row) => !sources[row.source]?.publisher || !sources[row.source]?.document);
    expect(unnamed).toEqual([]);
  });

  test("list no source that no row uses", () => {
    const used = new Set(rows.map((row) => row.source));
    expect(Object.keys(sources).filter((name) => !used.has(name))).toEqual([]);
  });

  test("hold the printed supply inside the supplies that they serve", () => {
    expect(rows.filter(({ volts, supply: [from, to] }) => volts < from || volts > to)).toEqual([]);
  });

  test("are in nanoseconds, picofarads and megahertz: no figure is a thousand times off", () => {
    // 2 V rows of HC are about five times slower than 4.5 V rows.
    const odd = [
      ...delays.flatMap(({ row, delay }) =>
        ["typ", "max"]
          .flatMap((prefix) => cells(delay, prefix))
          .filter((value) => value < 0.5 || value > (row.volts < 3 ? 700 : 130))
          .map((value) => `${row.function} ${delay.from.join()} to ${delay.to.join()}: ${value} ns`),
      ),
      ...requirements.flatMap(({ row, requirement }) =>
        cells(requirement, "min")
          .filter((value) => Math.abs(value) > 400)
          .map((value) => `${row.function} ${requirement.kind}: ${value} ns`),
      ),
      ...rows.flatMap(({ function: fn, maxClock = {} }) =>
        cells(maxClock, "min")
          .filter((value) => value < 1 || value > 500)
          .map((value) => `${fn}: ${value} MHz`),
      ),
      ...rows.flatMap(({ function: fn, load = 50 }) => ([15, 45, 50, 150].includes(load) ? [] : `${fn}: ${load} pF`)),
    ];
    expect(odd).toEqual([]);
  });

  test("have minimum, typical and maximum in that order", () => {
    const wrong = delays.filter(({ delay }) => {
      const greatest = Math.min(...cells(delay, "max"));
      const typical = delay.typ25 ?? greatest;
      return typical > greatest || cells(delay, "min").some((minimum) => minimum > typical);
    });
    expect(wrong).toEqual([]);
  });

  test("are slower or equal where the column is hotter", () => {
    const rises = (values: readonly number[]) =>
      values.every((value, i) => i === 0 || value >= (values[i - 1] ?? value));
    expect(delays.filter(({ delay }) => !rises(cells(delay, "max")))).toEqual([]);
    expect(requirements.filter(({ requirement }) => !rises(cells(requirement, "min")))).toEqual([]);
    expect(rows.filter(({ maxClock = {} }) => !rises([...cells(maxClock, "min")].reverse()))).toEqual([]);
  });

  test("are slower or equal where the supply is lower", () => {
    const key = ({ row, delay }: (typeof delays)[number]) =>
      [row.source, row.part, row.function, row.load, delay.symbol, delay.when, delay.from, delay.to].join(" ");
    const faster = delays.flatMap((low) =>
      delays.filter(
        (high) =>
          high.row.volts > low.row.volts &&
          key(high) === key(low) &&
          columns.some(
            (column) => (cell(high.delay, `max${column}`) ?? 0) > (cell(low.delay, `max${column}`) ?? Infinity),
          ),
      ),
    );
    expect(faster).toEqual([]);
  });

  test("ask for no more time, and no slower clock, where the supply is higher", () => {
    const isSame = (low: FigureRow, high: FigureRow) =>
      high.volts > low.volts && high.source === low.source && high.part === low.part && high.function === low.function;
    const key = ({ kind, pins, reference }: RequirementRow) => [kind, pins, reference].join(" ");
    const stricter = rows.flatMap((low) =>
      rows
        .filter((high) => isSame(low, high))
        .flatMap((high) => [
          ...low.requirements.flatMap((one) =>
            high.requirements
              .filter((other) => key(other) === key(one))
              .filter((other) =>
                columns.some((c) => (cell(other, `min${c}`) ?? -Infinity) > (cell(one, `min${c}`) ?? Infinity)),
              )
              .map(() => `74${family}${low.function} ${key(one)}`),
          ),
          ...columns
            .filter(() => low.load === high.load)
            .filter(
              (c) => (cell(high.maxClock ?? {}, `min${c}`) ?? Infinity) < (cell(low.maxClock ?? {}, `min${c}`) ?? 0),
            )
            .map((c) => `74${family}${low.function} clock rate, ${c} °C`),
        ]),
    );
    // Texas Instruments SCLS373K prints 1.5 ns of hold at 3.3 V and 2 ns at 5 V.
    const printedSo = family === "AHC" ? ["74AHC595 hold SER SRCLK"] : [];
    expect([...new Set(stricter)]).toEqual(printedSo);
  });

  test("speak of pins that the function has", () => {
    const strange = rows.flatMap((row) => {
      const behaviour = behaviourOf(row.function);
      if (behaviour === undefined) return [];
      const means = pinMatcher(behaviour);
      const names = [
        ...row.delays.flatMap(({ from, to }) => [...from, ...to]),
        ...row.requirements.flatMap(({ pins, reference }) => [...pins, ...reference]),
        ...(row.maxClock?.pins ?? []),
      ];
      return names
        .filter((name) => name !== "stage" && !behaviour.pins.some((pin) => means([name], pin.name)))
        .map((name) => `74${family}${row.function}: ${name}`);
    });
    expect(strange).toEqual([]);
  });
});

test("every function with figures has a behaviour", () => {
  const functions = new Set(families.flatMap((family) => familyFigures(family).rows.map((row) => row.function)));
  expect([...functions].filter((fn) => behaviourOf(fn) === undefined)).toEqual([]);
});

test("a typical delay is about 0.58 of the maximum, which stands in where no typical is printed", () => {
  const ratios = familyFigures("HC").rows.flatMap((row) =>
    row.fromMemory || row.volts !== 4.5
      ? []
      : row.delays.flatMap(({ typ25, max25, fromMemory }) =>
          typ25 === undefined || max25 === undefined || fromMemory ? [] : [typ25 / max25],
        ),
  );
  expect(ratios.length).toBeGreaterThan(100);
  const mean = ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length;
  expect(Math.abs(mean - 0.58)).toBeLessThan(0.02);
});
