import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type Conditions, type Delay, type Requirement, familyFigures } from "../../src/parts/index.js";
import { atHome, inNs, isMissing, onTheBench, part } from "./conditions.js";

function delay(
  number: string,
  from: string,
  to: string,
  change: "rise" | "fall",
  conditions: Conditions = atHome,
): Delay {
  const found = part(number, conditions).figures.delay(from, "rise", to, change);
  if (isMissing(found)) throw new Error(found.missing);
  return found;
}

function time(found: Requirement | { readonly missing: string }): number {
  if (isMissing(found)) throw new Error(found.missing);
  return inNs(found.time);
}

const by = (number: string, maker: string, conditions = atHome): Conditions => ({
  ...conditions,
  makers: new Map([[number, maker]]),
});

describe("the temperature column", () => {
  test("is 85 °C for an HC part in a room, 125 °C in an oven, 25 °C on the bench", () => {
    const at = (min: number, max: number) =>
      delay("74HC244", "1A1", "1Y1", "rise", { ...atHome, ambientCelsius: { min, max } });
    expect(inNs(at(0, 50).max)).toBe(29); // SCLS130F: 23, 29, 34 ns
    expect(at(0, 50).source.column).toContain("max85");
    expect(inNs(at(0, 100).max)).toBe(34);
    expect(inNs(at(25, 25).max)).toBe(23);
    expect(inNs(at(20, 25).max)).toBe(29);
  });

  test("does not exist for an F part below 0 °C or above 70 °C: the figure is missing and says so", () => {
    for (const ambientCelsius of [
      { min: -10, max: 50 },
      { min: 0, max: 85 },
    ]) {
      const found = part("74F163", { ...atHome, ambientCelsius }).figures.delay("CLK", "rise", "QA", "rise");
      expect(found).toEqual({
        missing: expect.stringMatching(/^74F163 CLK to QA \(rise\), 4\.5 to 5\.5 V, -?\d+ to \d+ °C$/),
      });
    }
  });
});

describe("the supply", () => {
  test("takes the 4.5 V rows of HC from 4.5 V up and the 2 V rows below", () => {
    const at = (min: number, max: number) =>
      delay("74HC161", "CLK", "QA", "rise", { ...atHome, supplyVolts: { min, max } });
    expect(at(4.5, 5.5).source.column).toContain("4.5 V");
    expect(at(4.75, 5.25).max).toBe(at(4.5, 5.5).max);
    expect(at(3, 3.6).source.column).toContain("2 V");
    expect(at(3, 3.6).max).toBeGreaterThan(2 * at(4.5, 5.5).max);
  });

  test("of 3.3 V has no rows for ALS", () => {
    const found = part("74ALS166", { ...atHome, supplyVolts: { min: 3, max: 3.6 } }).figures.delay(
      "CLK",
      "rise",
      "QH",
      "rise",
    );
    expect(isMissing(found)).toBe(true);
  });

  test("wider than the sheet's is remarked on", () => {
    // 74F74 is on record for 5 V only.
    expect(delay("74F74", "1CLK", "1Q", "rise").source.column).toContain("sheet states 5 V only");
  });
});

describe("makers", () => {
  // At 85 °C SCHS154D gives the count enable's set-up as 13 ns, DS005008 as 44 ns.
  test("differ, and the longest set-up counts", () => {
    const enable = part("74HC163").figures.window("set-up", "ENT", "CLK");
    expect(time(enable)).toBe(44);
    expect(enable).toMatchObject({ source: { publisher: "Fairchild", document: "DS005008" } });
  });

  // ENT to RCO at 85 °C: SCHS154D 30 ns, DS005008 49 ns (falling).
  test("differ, and the slowest maximum counts", () => {
    const carry = delay("74HC163", "ENT", "RCO", "fall");
    expect(inNs(carry.max)).toBe(49);
    expect(carry.source.document).toBe("DS005008");
    expect(inNs(delay("74HC163", "ENT", "RCO", "fall", by("74HC163", "Texas Instruments")).max)).toBe(30);
  });

  test("can be named, and then theirs alone counts", () => {
    const { figures } = part("74HC163", by("74HC163", "Texas Instruments"));
    expect(time(figures.window("set-up", "ENT", "CLK"))).toBe(13);
    expect(time(figures.period("CLK"))).toBeCloseTo(1000 / 24, 5);
  });

  test("that print no figure leave it missing rather than another's", () => {
    // The Philips sheet of the 166 gives no set-up for its serial input; a recalled TI sheet does.
    const { figures } = part("74HC166", by("74HC166", "Philips"));
    expect(figures.window("set-up", "SER", "CLK")).toEqual({ missing: expect.stringContaining("Philips") });
    expect(part("74HC166").figures.window("set-up", "SER", "CLK")).toMatchObject({ source: { fromMemory: true } });
  });

  test("give the carry of the 161 plus its enable's set-up as 97 ns in the slowest sheet of Texas Instruments", () => {
    // SCLS297D at 4.5 V, 85 °C: 54 and 43 ns.
    const { figures } = part("SN74HC161", by("SN74HC161", "Texas Instruments"));
    const carry = figures.delay("CLK", "rise", "RCO", "rise");
    if (isMissing(carry)) throw new Error(carry.missing);
    expect(inNs(carry.max) + time(figures.window("set-up", "ENT", "CLK"))).toBe(97);
  });
});

describe("the least delay", () => {
  test("that a sheet states is used and called stated", () => {
    const counted = delay("74F163", "CLK", "QA", "fall"); // SDFS088A: 2.7 ns
    expect(counted).toMatchObject({ min: 2_700_000, minimumIs: "stated" });
  });

  test("that no sheet states is the circuit's fraction of the typical figure and called assumed", () => {
    // SCLS130F: enable 15 ns typical.
    const enable = (fractionOfTypical: number) =>
      part("74HC244", { ...atHome, unstatedMinimum: { fractionOfTypical } }).figures.delay(
        "1OE#",
        "fall",
        "1Y1",
        "z-to-high",
      );
    expect(enable(0.25)).toMatchObject({ min: 3_750_000, minimumIs: "assumed" });
    expect(enable(0)).toMatchObject({ min: 0, minimumIs: "assumed" });
  });

  test("says whose it is where another sheet than the slowest decided it", () => {
    const counted = delay("74HC163", "CLK", "QA", "rise");
    expect(counted.minimumSource?.column).toContain("0.25 of typical assumed");
    expect(counted.minimumSource?.document).not.toBe(counted.source.document);
  });
});

describe("the load", () => {
  test("of 15 pF is brought to 50 pF by the family's slope, and the source says so", () => {
    // SDLS054 at 15 pF: 18 ns; plus 35 pF times 0.29 ns/pF; times 1.25 for the temperature range.
    const shifted = delay("74LS164", "CLK", "QA", "rise");
    expect(shifted.source.column).toContain("0.29 ns/pF to 50 pF");
    const row = familyFigures("LS").rows.find((one) => one.function === "164");
    const printed =
      row?.delays.find(({ from, changes }) => from.includes("CLK") && changes.includes("rise"))?.max25 ?? NaN;
    expect(inNs(shifted.max)).toBeCloseTo(1.25 * printed + 0.29 * 35, 9);
  });
});

describe("74LS, specified at 25 °C only", () => {
  test("is allowed no less than the worst ratio that 74F sheets show over 0 to 70 °C and 5 V ± 10 %", () => {
    const ratios = familyFigures("F").rows.flatMap((row) =>
      row.delays.flatMap(({ max25, max70 }) => (max25 === undefined || max70 === undefined ? [] : [max70 / max25])),
    );
    expect(Math.max(...ratios)).toBeCloseTo(1.25, 2);
    const room = delay("74LS74", "1CLK", "1Q", "fall");
    const bench = delay("74LS74", "1CLK", "1Q", "fall", {
      ...onTheBench,
      supplyVolts: { min: 5, max: 5 },
    });
    expect(inNs(bench.max)).toBe(35); // DM74LS74A at 50 pF
    expect(room.max / bench.max).toBeGreaterThanOrEqual(1.25 - 1e-9);
    expect(room.source.column).toContain("times 1.25 for 0 to 70 °C");
  });
});

test("a clock period is one over the clock rate, rounded up to whole femtoseconds", () => {
  // 74ALS166, SDAS156D: 45 MHz.
  expect(part("74ALS166").figures.period("CLK")).toMatchObject({ time: 22_222_223, kind: "clock period" });
});

test("a clock without a printed rate needs its two least widths", () => {
  const { figures } = part("74HC595");
  const [high, low] = [figures.width("RCLK", "high"), figures.width("RCLK", "low")];
  const period = figures.period("RCLK");
  expect(time(period)).toBe(time(high) + time(low));
  expect(period).toMatchObject({ source: { column: expect.stringContaining("sum of the least widths") } });
});

test("a clock's low time that no sheet prints is what its frequency and its high time leave", () => {
  const { figures } = part("74LS74"); // DM74LS74A: 20 MHz at 50 pF, high for 25 ns; by the allowance 1.25 times as long
  const [high, low] = [figures.width("1CLK", "high"), figures.width("1CLK", "low")];
  const period = time(figures.period("1CLK"));
  expect(time(low)).toBe(Math.max(period / 2, period - time(high)));
  expect(low).toMatchObject({
    source: { column: expect.stringContaining("not printed: what the clock frequency leaves") },
  });
});

test("a later stage of a ripple counter adds a stage delay for each stage between", () => {
  const first = delay("74HC4040", "CLK", "QA", "fall");
  const [third, fourth] = [delay("74HC4040", "CLK", "QC", "fall"), delay("74HC4040", "CLK", "QD", "fall")];
  const stage = fourth.max - third.max;
  expect(third.max - first.max).toBe(2 * stage);
  expect(stage).toBeGreaterThan(0);
});

test("a wider ambient never makes a part faster or a requirement shorter", () => {
  const numbers = [
    "74HC163",
    "74HC244",
    "74HCT574",
    "74AC74",
    "74ACT163",
    "74AHC244",
    "74AHCT574",
    "74LS163",
    "74F163",
    "74ALS166",
  ];
  const span = fc.tuple(fc.integer({ min: -40, max: 125 }), fc.integer({ min: -40, max: 125 }));
  fc.assert(
    fc.property(fc.constantFrom(...numbers), span, span, (number, [a, b], [c, d]) => {
      const inner = { min: Math.min(a, b), max: Math.max(a, b) };
      const outer = { min: Math.min(inner.min, c, d), max: Math.max(inner.max, c, d) };
      const [small, large] = [inner, outer].map(
        (ambientCelsius) => part(number, { ...atHome, ambientCelsius }).figures,
      );
      if (!small || !large) throw new Error("unreachable");
      const arcs = [
        ["CLK", "QA"],
        ["CLK", "1Q"],
        ["1CLK", "1Q"],
        ["1A1", "1Y1"],
        ["CLK", "QH"],
        ["CLK", "RCO"],
      ] as const;
      for (const [from, to] of arcs) {
        const [near, far] = [small.delay(from, "rise", to, "rise"), large.delay(from, "rise", to, "rise")];
        if (isMissing(far)) continue;
        if (isMissing(near)) throw new Error(`${number} ${from} to ${to} known for ${outer.min} to ${outer.max} only`);
        expect(near.max).toBeLessThanOrEqual(far.max);
        expect(near.min).toBeLessThanOrEqual(near.typical);
        expect(near.typical).toBeLessThanOrEqual(near.max);
      }
      const [near, far] = [small.window("set-up", "1D", "CLK"), large.window("set-up", "1D", "CLK")];
      expect(isMissing(near) ? 0 : near.time).toBeLessThanOrEqual(isMissing(far) ? Infinity : far.time);
    }),
    { numRuns: 200 },
  );
});
