import { describe, expect, test } from "vitest";
import { currentVerdicts } from "../../src/electrical/current-rule.js";
import { loadDelays } from "../../src/electrical/index.js";
import { levelVerdicts } from "../../src/electrical/level-rule.js";
import { isMissing, levelsOf } from "../../src/parts/index.js";
import { inPlainUnit, measure } from "../../src/quantity/index.js";
import { part } from "../parts/conditions.js";
import { bench, inputsOn, verdictNamed } from "./bench.js";
import { inventedNet } from "./invented-net.js";
import { worked } from "./worked-rows.js";

describe("noise margins as a textbook works them out", () => {
  test.each(worked.margins)("$source", ({ volts, high, low }) => {
    const verdicts = levelVerdicts(inventedNet({ volts }));
    const margin = (rule: string) => verdicts.find((verdict) => verdict.rule === rule)?.margin;
    expect([margin("high level"), margin("low level")]).toEqual([1e6 * high, 1e6 * low]);
  });
});

describe("fan-out as a textbook works it out", () => {
  test.each(worked.fanOut)("$source", ({ milliamps, high, low }) => {
    const holds = (inputs: number, rule: string) =>
      currentVerdicts(inventedNet({ milliamps, inputs })).find((verdict) => verdict.rule === rule)?.state === "holds";
    for (const [rule, most] of [
      ["high current", high],
      ["low current", low],
    ] as const) {
      expect([holds(most, rule), holds(most + 1, rule)]).toEqual([true, false]);
    }
  });

  test.each(worked.totals)("$source", ({ level, inputs, milliamps, total }) => {
    const net = inventedNet({ milliamps: { IOH: 100, IOL: 100, IIH: milliamps, IIL: milliamps }, inputs });
    const verdict = currentVerdicts(net).find(({ rule }) => rule === `${level} current`);
    expect(inPlainUnit(measure("current", verdict?.required ?? 0))).toEqual({ value: total, unit: "mA" });
  });
});

describe("loads that a family's sheets allow", () => {
  test.each(worked.families)("$source", ({ driver, output, receiver, most, level }) => {
    const verdict = (count: number) => {
      const inputs = inputsOn("NET", count, receiver);
      const circuit = bench({ chips: { D1: [driver, `${output}=NET`], ...inputs } });
      const [, family = ""] = /^74([A-Z]+)/.exec(driver) ?? [];
      return verdictNamed(circuit, `${level} current NET ${family}`);
    };
    expect([verdict(most).state, verdict(most).margin]).toEqual(["holds", 0]);
    expect(verdict(most + 1).state).toBe("fails");
  });
});

describe("what sheets and handbooks say of one family driving another", () => {
  test.each(worked.interfaces)("$driver to $receiver $state: $source", (row) => {
    const { driver, output, receiver, input, state } = row;
    const on = (supply: string | undefined) => (supply === undefined ? "" : ` VCC=${supply}`);
    const circuit = bench({
      supply: `{main: 5 V ± 5 %, 3V3: 3.3 V ± 5 %}`,
      chips: {
        D1: [driver, `${output}=NET${on(row.driverSupply)}${output === "IO0" ? " WE#=high" : ""}`],
        R1: [receiver, `${input}=NET${on(row.supply)}`],
      },
    });
    const family = (number: string) => part(number).family;
    const name = `high level NET ${family(driver)} to ${family(receiver)}`;
    expect(verdictNamed(circuit, name).state).toBe(state);
  });
});

describe("delays printed at two loads are not longer than the slope on record makes them", () => {
  test.each(worked.loads)("$source", ({ part: number, pin, picofarads: [less, more], max25: [short, long] }) => {
    const bench25 = { supplyVolts: { min: 4.75, max: 5.25 }, ambientCelsius: { min: 25, max: 25 } };
    const figures = levelsOf(part(number), bench25)?.output(pin);
    if (!figures || isMissing(figures) || !figures.slope) throw new Error(`no slope of ${number}`);
    const slope = Math.max(figures.slope.rise, figures.slope.fall);
    expect(short + (more - less) * slope).toBeGreaterThanOrEqual(long - 1e-9);
  });
});

test("a net of more than 50 pF adds 0.2125 ns for each picofarad beyond 50 to a 74HC output's delay, up to 85 °C", () => {
  // Seven 74HC inputs of 10 pF on four chips: 70 pF. Wires of a printed board: (0.15 + 3 × 0.05 + 3 × 0.02) m of 80 pF.
  const circuit = bench({
    chips: {
      D1: ["74HC04", "1Y=NET"],
      R1: ["74HC04", "1A=NET 2A=NET 3A=NET 4A=NET"],
      R2: ["74HC04", "1A=NET"],
      R3: ["74HC04", "1A=NET"],
      R4: ["74HC04", "1A=NET"],
    },
  });
  const delay = loadDelays(circuit).get("D1")?.get("1Y");
  // 98.8 pF in all: 48.8 × 1.25 × 0.17 ns.
  expect(delay?.rise).toBe(10_370_000);
  expect(delay?.fall).toBe(delay?.rise);
});
