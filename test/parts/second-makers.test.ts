import { expect, test } from "vitest";
import { families, familyFigures } from "../../src/parts/index.js";

interface Printed {
  readonly publisher: string;
  readonly value: number;
}

type Column = "max25" | "max70" | "max85" | "max125";
const columns: readonly Column[] = ["max25", "max70", "max85", "max125"];

/** Every maximum that two or more makers print for the same arc, supply, load and column. */
function sharedMaxima(): ReadonlyMap<string, readonly Printed[]> {
  const found = new Map<string, Printed[]>();
  for (const family of families) {
    const { rows, sources } = familyFigures(family);
    for (const row of rows) {
      const publisher = sources[row.source]?.publisher ?? "";
      for (const delay of row.delays) {
        for (const column of columns) {
          const value = delay[column];
          if (value === undefined) continue;
          const arcs = delay.from.flatMap((from) =>
            delay.to.flatMap((to) => delay.changes.map((c) => `${from} to ${to} ${c}`)),
          );
          for (const arc of arcs) {
            const where = `74${family}${row.function} ${arc}, ${row.volts} V, ${delay.load ?? row.load ?? "?"} pF, ${column}`;
            const printed = found.get(where) ?? [];
            printed.push({ publisher, value });
            found.set(where, printed);
          }
        }
      }
    }
  }
  return new Map([...found].filter(([, printed]) => new Set(printed.map((one) => one.publisher)).size > 1));
}

/** The slowest of each maker, slowest over fastest. */
function spread(printed: readonly Printed[]): number {
  const byMaker = new Map<string, number>();
  for (const { publisher, value } of printed) byMaker.set(publisher, Math.max(value, byMaker.get(publisher) ?? 0));
  return Math.max(...byMaker.values()) / Math.min(...byMaker.values());
}

const shared = sharedMaxima();
const spreads = [...shared].map(([where, printed]) => ({ where, printed, ratio: spread(printed) }));

test("a second maker is on record for many maxima", () => {
  expect(spreads.length).toBeGreaterThan(800);
});

test("makers of the same part differ by no more than a factor of two, so a slip of a digit would show", () => {
  const worst = spreads.reduce((a, b) => (b.ratio > a.ratio ? b : a));
  // The 74LS257's enable: Texas Instruments 30 ns, Fairchild 15 ns.
  expect(worst).toMatchObject({ ratio: 2, where: expect.stringContaining("74LS257 OE# to Y") });
});

test("makers mostly agree: half of the shared maxima lie within 7 %", () => {
  const ratios = spreads.map(({ ratio }) => ratio).sort((a, b) => a - b);
  expect(ratios[Math.floor(ratios.length / 2)]).toBeLessThan(1.07);
});

test("the 74HC161's and 74HC163's makers differ as published", () => {
  const { rows, sources } = familyFigures("HC");
  const enable = (fn: string) =>
    rows
      .filter((row) => row.function === fn && row.volts === 4.5)
      .flatMap((row) =>
        row.requirements
          .filter(({ kind, pins }) => kind === "set-up" && pins.includes("ENT"))
          .map(({ min85 }) => `${sources[row.source]?.document}: ${min85}`),
      );
  expect(enable("161")).toContain("SCLS297D: 43");
  expect(enable("163")).toEqual(expect.arrayContaining(["SCHS154D: 13", "DS005008: 44"]));
});
