import { describe, expect, test } from "vitest";
import { z } from "zod";
import type { Circuit } from "../../src/circuit/index.js";
import { type Metastability, metastabilityOf } from "../../src/parts/index.js";
import type { Check } from "../../src/timing/check.js";
import { prove } from "../../src/timing/index.js";
import { meanTimeLog, meanTimeText } from "../../src/timing/mean-time.js";
import { buildModel } from "../../src/timing/model.js";
import { powerUp } from "../../src/timing/power-up/power-up.js";
import { synchroniserTime } from "../../src/timing/synchroniser-time.js";
import { outsideRoot } from "../../src/timing/roots.js";
import { type CircuitText, buildCircuit, chipOf, known, oscillator } from "../support/build-circuit.js";
import file from "../data/worked-metastability.json" with { type: "json" };

const { rows } = z
  .object({
    rows: z.array(
      z.object({
        id: z.string(),
        source: z.string(),
        given: z.object({
          settling: z.number(),
          tau: z.number(),
          t0: z.number(),
          clockRate: z.number(),
          changeRate: z.number(),
        }),
        expected: z.number(),
        relative: z.number(),
      }),
    ),
  })
  .parse(file);

describe("the mean time between failures of a synchroniser", () => {
  test.each(rows)("is what is published: $id ($source)", ({ given, expected, relative }) => {
    const found = 10 ** meanTimeLog(given);
    expect(Math.abs(found / expected - 1)).toBeLessThan(relative);
  });

  test.each([
    [Math.log10(1736640), "20 days"],
    [Math.log10(1.51e10), "480 years"],
    [Math.log10(2.23e42), "10^34 years"],
    [Math.log10(3.1), "3.1 seconds"],
    [Math.log10(396000), "4.6 days"],
    [Math.log10(31_557_600), "1 year"],
    [-1, "less than a second"],
  ])("is told in the unit that fits: %d is %s", (log, text) => {
    expect(meanTimeText(log)).toBe(text);
  });
});

describe("a synchroniser on a board", () => {
  // 16 MHz, set-up 10 ns, and 100,000 changes a second: a rise and a fall every 20 us. Wakerly, page 770.
  const flipFlops = known("74", { delay: [2, 5, 15], setUp: 10, hold: 1, width: 10, recovery: 10, period: 30 });
  const always = "1PRE#=high 1CLR#=high 2PRE#=high 2CLR#=high";
  const board = (more: Partial<CircuitText> = {}, repeat = 20_000): Circuit =>
    buildCircuit({
      chips: {
        X1: [oscillator(62.5), "OUT=CK"],
        U1: [flipFlops, `1CLK=CK 2CLK=CK 1D=IN 1Q=ONE 2D=ONE 2Q=TWO ${always}`],
      },
      inputs: { IN: { anyTime: { high: repeat / 2, low: repeat / 2, repeat } } },
      ...more,
    });
  const als: Metastability = {
    tau: 1e-9,
    t0: 8.7e-6,
    countedFrom: "clock edge",
    publishedFor: "",
    source: "",
    fromMemory: false,
  };
  const withFigures = (circuit: Circuit, figures: Metastability = als): Circuit => ({
    ...circuit,
    metastability: new Map([["made 74", figures]]),
  });
  /** What is said where IN is sampled, without the proof. */
  const told = (circuit: Circuit) => {
    const model = buildModel(circuit);
    const at = { path: model.time.root(outsideRoot(0, "rise")), tick: 0 };
    const worst: Check = {
      ...{ rule: "asynchronous signal", symbol: "synchroniser", chip: "U1", pin: "1D", net: "IN", reference: "1CLK" },
      ...{ required: 0, available: 0, typical: 0, earlier: at, later: at },
    };
    const { clockRates } = powerUp(circuit, chipOf(circuit, "X1"));
    const found = synchroniserTime({ model, place: { worst, tick: 0, count: 1 } }, clockRates);
    if (!found) throw new Error("no synchroniser");
    return { ...found, seconds: 10 ** (found.logSeconds ?? NaN) };
  };

  test("has the published mean time, from its own clock, set-up time and least times of the signal", () => {
    const { text, seconds, settling } = told(withFigures(board()));
    expect(settling).toBe(52_500_000);
    expect(seconds / 4.54e15 - 1).toBeCloseTo(0, 2);
    expect(text).toContain(
      "Mean time between failures: about 10^8 years, at no more than 100,000 changes a second; 52.50 ns to settle",
    );
  });

  test("has less time by the wires between its flip-flops", () => {
    expect(told(withFigures(board({ wires: [0, 1.9] }))).settling).toBe(50_600_000);
  });

  test("has less time by the delay to the output where the figures count from there", () => {
    expect(told(withFigures(board(), { ...als, countedFrom: "output" })).settling).toBe(37_500_000);
  });

  test("has as much again for each further stage that only passes on", () => {
    const chips = {
      X1: [oscillator(62.5), "OUT=CK"],
      U1: [flipFlops, `1CLK=CK 2CLK=CK 1D=IN 1Q=ONE 2D=ONE 2Q=TWO ${always}`],
      U2: [flipFlops, `1CLK=CK 1D=TWO 1Q=THREE 1PRE#=high 1CLR#=high`],
    } as const;
    expect(told(withFigures(board({ chips }))).settling).toBe(2 * 52_500_000);
  });

  test("sampled every fourth clock has four periods", () => {
    const chips = {
      X1: [oscillator(62.5), "OUT=CK"],
      U1: [flipFlops, `1CLK=SAMPLE 2CLK=SAMPLE 1D=IN 1Q=ONE 2D=ONE 2Q=TWO ${always}`],
      U3: [flipFlops, `1CLK=CK 1D=A# 1Q=A 1Q#=A# 2CLK=A# 2D=B# 2Q#=B# 2Q=SAMPLE ${always}`],
    } as const;
    const { settling, clockHertz } = told(withFigures(board({ chips }, 40_000)));
    expect(settling).toBe(4 * 62_500_000 - 10_000_000);
    expect(clockHertz).toBeCloseTo(4e6, 0);
  });

  test("is held to be good although nobody publishes figures for its family, and says so", { timeout: 30_000 }, () => {
    const input = { IN: { anyTime: { high: 1000, low: 1000, repeat: 2000 } } } as const;
    const { verdicts } = prove(board({ inputs: input }));
    const [verdict] = verdicts.filter(({ rule }) => rule === "asynchronous signal");
    expect(verdict?.state).toBe("holds");
    expect(verdict?.note).toContain(
      "unknown, for nothing on record gives tau and T0 of made 74. It has 52.50 ns to settle.",
    );
    expect(verdicts.every(({ state }) => state === "holds")).toBe(true);
  });

  test("says whose figures it counts with", () => {
    const origin = (more: Partial<Metastability>) => told(withFigures(board(), { ...als, ...more })).text;
    expect(origin({})).toMatch(/clocks a second, tau 1 ns and T0 8\.7 µs as the file gives them\.$/);
    expect(origin({ source: "note 3" })).toMatch(/as the file gives them \(note 3\)\.$/);
    const published = { publishedFor: "74ALS74", source: "table 2" };
    expect(origin(published)).toMatch(/published for the 74ALS74 \(table 2\)\.$/);
    expect(origin({ ...published, fromMemory: true })).toMatch(/published for the 74ALS74 \(table 2; from memory\)\.$/);
  });

  test("asks for attention where it is short", () => {
    expect(told(withFigures(board(), { ...als, tau: 2e-9 })).text).toContain("Clock it more slowly, add a stage");
  });
});

describe("figures on record", () => {
  test("are those of the part, else of its family's flip-flop", () => {
    expect(metastabilityOf({ number: "74ALS74", family: "ALS" })).toMatchObject({
      tau: 1e-9,
      t0: 8.7e-6,
      fromMemory: false,
    });
    expect(metastabilityOf({ number: "74ALS175", family: "ALS" })).toMatchObject({ publishedFor: "74ALS74" });
    expect(metastabilityOf({ number: "74F5074", family: "F" })).toMatchObject({
      tau: 0.135e-9,
      publishedFor: "74F5074",
    });
  });

  test("are none for HC, of which nobody on record publishes any", () => {
    expect(metastabilityOf({ number: "74HC74", family: "HC" })).toBeUndefined();
  });
});
