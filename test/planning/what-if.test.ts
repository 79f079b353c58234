import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Oscillation } from "../../src/parts/index.js";
import { clockCurve, whatIf } from "../../src/planning/index.js";
import { type Dimension, greatest } from "../../src/planning/what-if/limit.js";
import type { Outcome, TimedVerdict } from "../../src/planning/what-if/outcome.js";
import { reachOfClock } from "../../src/planning/what-if/reach.js";
import { fs } from "../../src/quantity/index.js";
import { findRaster } from "../../src/raster/index.js";
import { nameOf } from "../../src/verdict/index.js";

/** A flip-flop that its own turned output toggles: the shortest loop that there is. */
const toggle = `dotwright: 1
title: Toggle
build: printed board
raster: 640x480@60
picture: {size: 320 x 240, hsync: SLOW, vsync: SLOW, video: SLOW}
inputs:
  RESET#: { power-up only: low, at least: 1 ms, levels: CMOS }
chips:
  X1: {part: OSC-14MHz, pins: {OUT: CK}}
  U1:
    part: 74HC74
    pins: {1CLK: CK, 1D: TURNED, 1Q: SLOW, 1Q#: TURNED, "2CLK, 2D": low, "2Q, 2Q#": open, 1CLR#: RESET#, "1PRE#, 2PRE#, 2CLR#": high}
`;

/** 74HC74 at 4.5 V up to 85 °C: clock to output and set-up (Texas Instruments SCLS094E). */
const [clockToOutput, setUp] = [44, 25];
/** The longest wire of a printed board (data/build-styles.json), and the can's tolerance of 100 ppm (MF Electronics M1280). */
const [wire, tolerance] = [1, 1e-4];

const tried = (text: string) =>
  whatIf(text, { file: "toggle.yaml", reading: { findRaster }, clock: () => performance.now() });

describe("what a toggling flip-flop bears", { timeout: 120_000 }, () => {
  const found = tried(toggle);

  test("is the clock whose shortest period holds clock to output, a wire and set-up, to a kilohertz", () => {
    const shortest = clockToOutput + wire + setUp;
    const highest = 1e9 / (shortest * (1 + tolerance));
    expect(Math.abs((found.clock?.value ?? 0) - highest)).toBeLessThan(1000);
    expect(found.clock).toMatchObject({ isExact: true, binding: { name: "set-up U1 1D" }, now: 14e6, stock: 13.5 });
  });

  test("is a wire as long as the period leaves it", () => {
    const longest = 1e9 / 14e6 / (1 + tolerance) - clockToOutput - setUp;
    expect(Math.abs((found.wires.value ?? 0) / 1e6 - longest)).toBeLessThan(0.01);
    expect(found.wires).toMatchObject({ isExact: true, binding: { name: "set-up U1 1D" } });
  });

  test("is more with a faster part in the one place that there is", () => {
    const [best] = found.swaps;
    expect(best?.swap).toMatchObject({ chip: "U1", from: "74HC74" });
    expect(best?.clock.value).toBeGreaterThan(1.5 * (found.clock?.value ?? Infinity));
  });

  test("is told of ambients and supplies that sheets have figures for, and what fails is", () => {
    const of = (value: string) => found.tried.find(({ variation }) => variation.value === value);
    // The sheet's least high time at 25 °C is 16 ns, not 20 ns; a can is high for 40 % of its period at least.
    const highTime = (0.4 * 1e9) / 14e6 / (1 + tolerance);
    expect(of("25 °C")?.moved?.name).toBe("pulse width U1 1CLK high");
    expect((of("25 °C")?.moved?.after ?? 0) / 1e6).toBeCloseTo(highTime - 16, 4);
    // That of -40 to 125 °C: 50 ns and 30 ns, eleven more than at 85 °C; less than that was left.
    expect(of("-40 to 125 °C")?.state).not.toBe("holds");
    expect(of("5 V ± 5 %")?.state).toBe("holds");
  });
});

test("what lies within limits that were proved to hold needs no proof, and a proof of it says the same", () => {
  const proofs: string[] = [];
  const options = { file: "toggle.yaml", reading: { findRaster }, clock: () => performance.now() };
  const { tried: list } = whatIf(toggle, { ...options, onProof: (_, __, what) => proofs.push(what) });
  const within = list.filter(({ isWithin }) => isWithin);
  expect(within.map(({ variation }) => variation.value)).toContain("25 °C");
  const proved = tried(`${toggle}ambient: 25 °C\n`).now;
  const told = within.find(({ variation }) => variation.value === "25 °C");
  expect(proved.state).toBe("holds");
  expect(proved.tightest?.margin).toBeGreaterThanOrEqual(told?.tightest?.margin ?? Infinity);
  const moved = proved.verdicts.find(({ name }) => name === told?.moved?.name);
  expect(moved?.margin).toBe(told?.moved?.after);
  expect(proofs).not.toContain("25 °C");
});

test("between two proofs the margin lies where the chains of both leave it", () => {
  const { clock } = tried(toggle);
  const { line } = clock ? clockCurve(clock) : { line: [] };
  const between = line.find(({ value }) => value > 13e6 && value < 13.5e6);
  const { now } = tried(toggle.replace("OSC-14MHz", `OSC-${Math.round(between?.value ?? 0)}Hz`));
  expect(Math.abs((now.tightest?.margin ?? 0) - (between?.margin ?? Infinity))).toBeLessThan(1e4);
});

test("a hold time whose delays alone are margin enough stops no clock", () => {
  const later = { edge: "rise", ticks: 0 } as const;
  const between = { ...blank.chains.between, earlier: { edge: "rise", ticks: -16 } as const, later };
  const period = { min: fs(39.7e6), max: fs(39.8e6) };
  const oscillation = { period, duty: { min: 0.4, max: 0.6 } } as Oscillation;
  const reachWith = (margin: number) =>
    reachOfClock({ ...blank, margin: fs(margin), chains: { ...blank.chains, between } }, 25.175e6, oscillation);
  // Sixteen periods last 635.2 ns.
  expect(reachWith(640e6)).toBe(Infinity);
  expect(reachWith(317.6e6)).toBeGreaterThan(2 * 25.1e6);
  expect(reachWith(317.6e6)).toBeLessThan(2 * 25.3e6);
});

test("a board that fails is told how slow it would have to be", () => {
  const { now, clock } = tried(toggle.replace("OSC-14MHz", "OSC-20MHz"));
  expect(now.state).toBe("fails");
  expect(Math.abs((clock?.value ?? 0) - 1e9 / (70 * (1 + tolerance)))).toBeLessThan(1000);
});

test("what is known when the time runs out is the answer, and says that it is not all", () => {
  let asked = 0;
  const {
    isComplete,
    tried: list,
    now,
  } = whatIf(toggle, {
    file: "toggle.yaml",
    reading: { findRaster },
    clock: () => performance.now(),
    onProof: () => asked++,
    mayGoOn: () => asked < 2,
  });
  expect([isComplete, now.state, list.some(({ state }) => state === "not tried")]).toEqual([false, "holds", true]);
});

test("the search for a limit ends at the lowest of what times allow and what no time decides", () => {
  const verdictOf = (limit: number, value: number): TimedVerdict => {
    const nameParts = { head: `limit ${limit}`, item: "", tail: "" };
    const state = value <= limit ? "holds" : "fails";
    return { ...blank, nameParts, name: nameOf(nameParts), state, margin: (limit - value) as never };
  };
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: 1, max: 90, noNaN: true }), { minLength: 1, maxLength: 6 }),
      fc.option(fc.double({ min: 1, max: 90, noNaN: true })),
      (limits, untimed) => {
        const at = (value: number): Outcome => {
          const timed = limits.map((limit) => verdictOf(limit, value));
          const failing = timed.filter(({ state }) => state === "fails");
          const isHeld = failing.length === 0 && value <= (untimed ?? Infinity);
          const electrical = value <= (untimed ?? Infinity) ? [] : ["glitch"];
          return { state: isHeld ? "holds" : "fails", verdicts: timed, failing, electrical };
        };
        const dimension: Dimension = {
          ...{ now: 0.5, most: 100, step: 0.05, share: 0.01, at },
          reach: ({ margin }, provedAt) => provedAt + margin,
        };
        const { value = 0, isExact } = greatest(dimension, { start: { value: 0.5, outcome: at(0.5) } });
        const truth = Math.min(...limits, untimed ?? Infinity);
        expect(value).toBeLessThanOrEqual(truth);
        // To a step where a time decides, else to a hundredth.
        expect(truth - value).toBeLessThan(truth === Math.min(...limits) ? 0.06 : 0.06 + 0.0102 * truth);
        expect(isExact).toBe(Math.min(...limits) <= value + 0.05);
      },
    ),
  );
});

const blank: TimedVerdict = {
  ...{
    name: "",
    nameParts: { head: "", item: "", tail: "" },
    rule: "set-up",
    state: "holds",
    restsOn: [],
    missing: [],
  },
  ...{ symbol: "", chip: "", part: "", pin: "", net: "", reference: "", count: 1, source: "", note: "" },
  margin: 0 as never,
  chains: {
    earlier: [],
    later: [],
    gap: "least",
    between: { text: "", time: 0 as never, earlier: { edge: "rise", ticks: 0 }, later: { edge: "rise", ticks: 0 } },
  },
};
