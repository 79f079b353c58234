import { describe, expect, test } from "vitest";
import { contentionVerdicts } from "../../src/electrical/contention-rule.js";
import type { Fight } from "../../src/electrical/index.js";
import { boardFrom } from "../paper/board-fixture.js";
import { netOf } from "../support/build-circuit.js";

function fighting(part: string, fight: Pick<Fight, "longest" | "perSecond">, supply = "5 V ± 10 %") {
  const buffer = (enable: string) =>
    `{1OE#: ${enable}, 1A: IN, 1Y: BUS, '2OE#, 3OE#, 4OE#': high, '2A, 3A, 4A': low, '2Y, 3Y, 4Y': open}`;
  const circuit = boardFrom(`
dotwright: 1
title: Two on a bus
supply: ${supply}
raster: 640x480@60
inputs:
  IN: {power-up only: low, at least: 100 ms}
chips:
  U1: {part: ${part}, pins: ${buffer("IN")}}
  U2: {part: ${part}, pins: ${buffer("low")}}
`);
  const [verdict] = contentionVerdicts(circuit, {
    fights: [{ net: netOf(circuit, "BUS").id, pins: ["U1 1Y", "U2 1Y"], ...fight }],
  });
  if (!verdict) throw new Error("no verdict");
  const figure = (text: string) => verdict.reckoning.find((line) => line.text === text)?.figure?.amount ?? 0;
  return { verdict, milliamps: figure("current while they fight") / 1e6, picojoules: figure("energy of one") / 1e3 };
}

const short = { longest: 10e-9, perSecond: 1.5e6 };

describe("outputs that fight", () => {
  // Texas Instruments SCAS283T, SN74LVC08A, figures 7 and 8: at 3 V a high and a low output meet near 50 mA.
  test("of LVC carry somewhat more than the sheet's own curves show at their crossing", () => {
    const milliamps = lvc();
    expect(milliamps).toBeGreaterThan(50);
    expect(milliamps).toBeLessThan(150);
  });

  function lvc() {
    const circuit = boardFrom(`
dotwright: 1
title: Two on a bus
supply: 3 V ± 1 %
raster: 640x480@60
inputs:
  IN: {power-up only: low, at least: 100 ms}
chips:
  U1: {part: 74LVC1G125, pins: {OE#: IN, A: IN, Y: BUS}}
  U2: {part: 74LVC1G125, pins: {OE#: low, A: IN, Y: BUS}}
`);
    const [verdict] = contentionVerdicts(circuit, {
      fights: [{ net: netOf(circuit, "BUS").id, pins: ["U1 Y", "U2 Y"], ...short }],
    });
    const line = verdict?.reckoning.find(({ text }) => text === "current while they fight");
    return (line?.figure?.amount ?? 0) / 1e6;
  }

  test("for 10 ns, a million and a half times a second, do no harm: 1.5 % of the time", () => {
    const { verdict, milliamps, picojoules } = fighting("74HC125", short);
    expect(verdict.state).toBe("holds");
    expect(milliamps).toBeGreaterThan(20);
    expect(milliamps).toBeLessThan(100);
    // V · I · t
    expect(picojoules).toBeCloseTo(5.5 * milliamps * 10, 0);
    expect(verdict.required).toBeCloseTo(milliamps * 1e6 * 0.015, -3);
  });

  // 74HC(T) user guide as quoted at electronics.stackexchange.com question 620508: at most 1 ms and 10 % of the time.
  test("for more than 10 % of the time fail, and for more than a millisecond", () => {
    expect(fighting("74HC125", { longest: 100e-9, perSecond: 1.5e6 }).verdict.state).toBe("fails");
    expect(fighting("74HC125", { longest: 2e-3, perSecond: 1 }).verdict.state).toBe("fails");
  });

  test("of LS carry no more than the sheet's short-circuit current, 225 mA of a bus driver", () => {
    const { milliamps } = fighting("74LS125", short, "5 V ± 5 %");
    expect(milliamps).toBeLessThanOrEqual(225);
    expect(milliamps).toBeGreaterThan(10);
  });
});
