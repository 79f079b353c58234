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

/** Every least time asked for, and every clock rate, that two or more makers print for the same place, supply and column. */
function sharedMinima(): ReadonlyMap<string, readonly Printed[]> {
  const found = new Map<string, Printed[]>();
  for (const family of families) {
    const { rows, sources } = familyFigures(family);
    for (const row of rows) {
      const publisher = sources[row.source]?.publisher ?? "";
      const note = (what: string, figures: Readonly<Partial<Record<Least, number>>>) => {
        for (const column of leasts) {
          const value = figures[column];
          if (value === undefined) continue;
          const where = `${what} of 74${family}${row.function}, ${row.volts} V, ${column}`;
          found.set(where, [...(found.get(where) ?? []), { publisher, value }]);
        }
      };
      for (const requirement of row.requirements) {
        const references = requirement.reference.length > 0 ? requirement.reference : [""];
        for (const pin of requirement.pins) {
          for (const reference of references) note(`${requirement.kind} ${pin} ${reference}`, requirement);
        }
      }
      for (const pin of row.maxClock?.pins ?? []) note(`rate ${pin}`, row.maxClock ?? {});
    }
  }
  return new Map([...found].filter(([, printed]) => new Set(printed.map((one) => one.publisher)).size > 1));
}

type Least = "min25" | "min70" | "min85" | "min125";
const leasts: readonly Least[] = ["min25", "min70", "min85", "min125"];

/** The strictest of each maker, by what is asked. */
const minima = [...sharedMinima()].map(([where, printed]) => {
  const byMaker = new Map<string, number>();
  for (const { publisher, value } of printed)
    byMaker.set(publisher, Math.max(value, byMaker.get(publisher) ?? -Infinity));
  const values = [...byMaker.values()];
  return { where, least: Math.min(...values), most: Math.max(...values) };
});
const of = (what: string) => minima.filter(({ where }) => where.startsWith(what));

const mostOf = (figures: readonly number[]) => Math.max(...figures);

test("a second maker is on record for many times asked for and clock rates", () => {
  expect(minima.length).toBeGreaterThan(450);
  expect(of("rate").length).toBeGreaterThan(30);
});

test("makers ask for set-up times up to three and a half times as long: they are other designs, not slips", () => {
  const worst = of("set-up").reduce((a, b) => (b.most / b.least > a.most / a.least ? b : a));
  // Texas Instruments SCHS154D 10 ns, Fairchild DS005008 35 ns.
  expect(worst).toMatchObject({ least: 10, most: 35, where: expect.stringMatching(/EN[PT] CLK of 74HC163/) });
});

test("makers' widths and clock rates differ far less than their set-up times", () => {
  const ratios = (what: string) => of(what).map(({ least, most }) => most / least);
  expect(mostOf(ratios("width"))).toBeLessThanOrEqual(1.4);
  // The 74HC191 at 85 °C: 16 MHz and 25 MHz.
  expect(mostOf(ratios("rate"))).toBeLessThanOrEqual(25 / 16);
});

test("makers' hold times lie within 15 ns of each other, their recovery times within 35 ns", () => {
  const apart = (what: string) => of(what).map(({ least, most }) => most - least);
  expect(mostOf(apart("hold"))).toBeLessThanOrEqual(15);
  expect(mostOf(apart("recovery"))).toBeLessThanOrEqual(35);
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
