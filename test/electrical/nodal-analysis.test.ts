import { readFileSync } from "node:fs";
import fc from "fast-check";
import { Matrix, solve } from "ml-matrix";
import { describe, expect, test } from "vitest";
import { type ResistorNetwork, nodeVolts, resistanceAt } from "../../src/electrical/nodal-analysis.js";
import { ZERO, asNumber, exactly, rational } from "../../src/electrical/rational.js";

/** A network with its published voltages. */
interface Row {
  readonly id: string;
  readonly source: string;
  readonly given: Readonly<Record<string, number>>;
  readonly branches: readonly (readonly [string, string, number])[];
  readonly volts: Readonly<Record<string, number>>;
  readonly tolerance: { readonly abs: number } | { readonly rel: number };
}

const { rows } = JSON.parse(readFileSync(new URL("../data/worked-networks.json", import.meta.url), "utf8")) as {
  readonly rows: readonly Row[];
};

function networkOf({ given, branches }: Pick<Row, "given" | "branches">): ResistorNetwork {
  return {
    given: new Map(Object.entries(given).map(([node, volts]) => [node, exactly(volts)])),
    branches: branches.map(([a, b, ohms]) => ({ between: [a, b], ohms: exactly(ohms) })),
  };
}

describe("node voltages", () => {
  test.each(rows)("are the published ones: $id", ({ volts, tolerance, ...network }) => {
    const found = nodeVolts(networkOf(network));
    for (const [node, expected] of Object.entries(volts)) {
      const off = Math.abs(asNumber(found.get(node) ?? ZERO) - expected);
      expect(off).toBeLessThanOrEqual("abs" in tolerance ? tolerance.abs : tolerance.rel * expected);
    }
  });

  /** Up to eight nodes on a spanning tree and some more resistors, two nodes given. */
  const anyNetwork = fc.record({
    parents: fc.array(fc.nat(), { minLength: 1, maxLength: 6 }),
    more: fc.array(fc.tuple(fc.nat(), fc.nat(), fc.integer({ min: 1, max: 100_000 })), { maxLength: 8 }),
    ohms: fc.array(fc.integer({ min: 1, max: 100_000 }), { minLength: 7, maxLength: 7 }),
    volts: fc.tuple(fc.integer({ min: -5000, max: 5000 }), fc.integer({ min: -5000, max: 5000 })),
  });

  test("are those that a general-purpose linear solver finds", () => {
    fc.assert(
      fc.property(anyNetwork, ({ parents, more, ohms, volts }) => {
        const count = parents.length + 2;
        const node = (index: number) => `n${index % count}`;
        const tree = parents.map(
          (parent, index) => [node(index + 2), node(parent % (index + 2)), ohms[index] ?? 1] as const,
        );
        const loops = more.map(([a, b, value]) => [node(a), node(b), value] as const);
        const branches = [...tree, ...loops.filter(([a, b]) => a !== b)];
        const given = { n0: volts[0] / 1000, n1: volts[1] / 1000 };
        const found = nodeVolts(networkOf({ given, branches }));

        // One row a node: its volts where given, else the currents out of it, in siemens so that doubles do.
        const left = Matrix.zeros(count, count);
        const right = Matrix.zeros(count, 1);
        left.set(0, 0, 1).set(1, 1, 1);
        right.set(0, 0, given.n0).set(1, 0, given.n1);
        for (const [a, b, value] of branches) {
          for (const [here, there] of [
            [a, b],
            [b, a],
          ] as const) {
            const [row, column] = [Number(here.slice(1)), Number(there.slice(1))];
            if (row < 2) continue;
            left.set(row, row, left.get(row, row) + 1 / value);
            left.set(row, column, left.get(row, column) - 1 / value);
          }
        }
        const expected = solve(left, right);
        for (let index = 0; index < count; index++) {
          const volts = found.get(`n${index}`);
          expect(volts && asNumber(volts)).toBeCloseTo(expected.get(index, 0), 6);
        }
      }),
      { numRuns: 300 },
    );
  });

  test("obey Kirchhoff exactly: nothing gathers at a node", () => {
    const network = networkOf({
      given: { V: 3.3, GND: 0 },
      branches: [
        ["V", "A", 470],
        ["A", "B", 1000],
        ["B", "GND", 75],
        ["A", "GND", 820],
        ["V", "B", 330],
      ],
    });
    const volts = nodeVolts(network);
    const [a, b] = [volts.get("A") ?? ZERO, volts.get("B") ?? ZERO];
    const into = (from: typeof a, to: typeof a, ohms: bigint) =>
      rational(from.over * to.under - to.over * from.under, from.under * to.under * ohms);
    const sum = [into(exactly(3.3), a, 470n), into(b, a, 1000n), into(ZERO, a, 820n)].reduce((x, y) =>
      rational(x.over * y.under + y.over * x.under, x.under * y.under),
    );
    expect(sum).toEqual(ZERO);
  });

  test("are left out for nodes that hang on nothing", () => {
    const volts = nodeVolts(
      networkOf({
        given: { V: 5 },
        branches: [
          ["V", "A", 100],
          ["B", "C", 100],
        ],
      }),
    );
    expect([...volts.keys()]).toEqual(["V", "A"]);
  });

  test("do not exist for a resistor without resistance", () => {
    expect(() => nodeVolts(networkOf({ given: { V: 5 }, branches: [["V", "A", 0]] }))).toThrow("V and A");
  });
});

describe("the resistance at a node", () => {
  test("of an R-2R ladder is R, however long it is", () => {
    const rungs = (count: number) =>
      Array.from({ length: count }, (_, index): (readonly [string, string, number])[] => [
        ["V", `N${index}`, 2000],
        ...(index === 0 ? ([["GND", "N0", 2000]] as const) : ([[`N${index - 1}`, `N${index}`, 1000]] as const)),
      ]).flat();
    for (const count of [1, 2, 5]) {
      const network = networkOf({ given: { V: 10, GND: 0 }, branches: rungs(count) });
      expect(resistanceAt(network, `N${count - 1}`)).toEqual(rational(1000));
    }
  });

  test("of two resistors in parallel is their product over their sum", () => {
    const network = networkOf({
      given: { V: 5, GND: 0 },
      branches: [
        ["V", "A", 300],
        ["A", "GND", 600],
      ],
    });
    expect(resistanceAt(network, "A")).toEqual(rational(200));
    expect(resistanceAt(network, "V")).toEqual(ZERO);
    expect(resistanceAt(network, "elsewhere")).toBeUndefined();
  });
});
