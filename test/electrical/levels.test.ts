import { describe, expect, test } from "vitest";
import { judgeElectrical, loadDelays } from "../../src/electrical/index.js";
import { type Bench, bench, verdictNamed } from "./bench.js";

const gate = (driver: string, receiver: string, more: Partial<Bench> = {}) =>
  bench({ chips: { U1: [driver, "1Y=NET"], U2: [receiver, "1A=NET 1Y=OUT"], U3: ["74HC04", "1A=OUT"] }, ...more });

describe("a 74LS output into a 74HC input", () => {
  const verdict = verdictNamed(gate("74LS00", "74HC04"), "high level NET LS to HC");

  test("fails at the highest supply, where the input asks for 0.7 times 5.25 V", () => {
    expect(verdict).toMatchObject({ state: "fails", required: 3_675_000, available: 2_700_000, margin: -975_000 });
    expect([verdict.chip, verdict.pin, verdict.reference]).toEqual(["U2", "1A", "U1 1Y"]);
  });

  test("is mended by inputs for TTL levels, a pull-up, or a CMOS driver, all three named", () => {
    expect(verdict.remedies[0]).toMatch(/^74HCT04 or 74AHCT04 in place of U2 \(74HC04\)/);
    expect(verdict.remedies[1]).toMatch(/^a pull-up of 4\.7 kohm from NET to high/);
    expect(verdict.remedies[2]).toMatch(/^74HCT00 in place of U1 \(74LS00\)/);
  });

  test("shows its arithmetic with the sheets", () => {
    expect(verdict.reckoning.map(({ text }) => text)).toEqual([
      "74HC04 input",
      "VOH of U1 1Y (74LS00) at 5.25 V",
      "VIH of U2 1A (74HC04) at 5.25 V",
      "noise margin",
    ]);
    expect(verdict.reckoning.every(({ source, working }) => source !== undefined || working !== undefined)).toBe(true);
  });

  test("holds as soon as a remedy is wired", () => {
    expect(verdictNamed(gate("74LS00", "74HCT04"), "high level NET LS to HCT").state).toBe("holds");
    expect(verdictNamed(gate("74HCT00", "74HC04"), "high level NET HCT to HC").state).toBe("holds");
    const pulled = gate("74LS00", "74HC04", { passives: "R1: {value: 4.7 kohm, between: [NET, high]}" });
    expect(verdictNamed(pulled, "high level NET LS to HC")).toMatchObject({ state: "holds" });
  });

  test("rises through the pull-up for R·C·ln((V - VOH)/(V - VIH)) beyond the output's own delay", () => {
    const pulled = gate("74LS00", "74HC04", {
      passives: "R1: {value: 4.7 kohm, tolerance: 0 %, between: [NET, high]}",
    });
    // 10 pF of the input and 15 cm of wire, 12 pF. The rail less 1 µA through R1, VOH and VIH at 5.25 V, where it is longer.
    const seconds = 4700 * 22e-12 * Math.log((5.2453 - 2.7) / (5.2453 - 3.675));
    const { rise, fall } = loadDelays(pulled).get("U1")?.get("1Y") ?? { rise: 0, fall: 0 };
    expect(rise / 1e6).toBeCloseTo(seconds * 1e9, 2);
    expect(fall).toBe(0);
  });
});

test("a pull-up that a low output cannot bear fails, with a larger one for remedy", () => {
  const circuit = gate("74LS00", "74HC04", { passives: "R1: {value: 470 ohm, tolerance: 5 %, between: [NET, high]}" });
  const low = verdictNamed(circuit, "low current NET LS");
  // 5.25 V over 446.5 Ω and the input's leakage of 1 µA, against 8 mA.
  expect(low.required).toBeCloseTo((5.25 / 446.5) * 1e9 + 1000, -1);
  expect(low).toMatchObject({ state: "fails", available: 8_000_000 });
  expect(low.remedies[0]).toBe("a larger resistor for R1");
  expect(verdictNamed(circuit, "low level NET LS to HC")).toMatchObject({ state: "fails" });
});

describe("a signal from a 3.3 V part", () => {
  const from = (levels: string, receiver: string) =>
    bench({
      supply: "{main: 5 V, 3V3: 3.3 V}",
      inputs: `READY: {any time: {high: 1 us, low: 1 us, repeat: 2 us}, levels: ${levels}}`,
      chips: { U1: [receiver, "1A=READY"] },
    });

  test("does not reach the 3.5 V that 74HC wants at 5 V", () => {
    const verdict = verdictNamed(from("CMOS on 3V3", "74HC04"), "high level READY outside to HC");
    expect(verdict).toMatchObject({ state: "fails", required: 3_500_000 });
    expect(verdict.remedies[0]).toContain("74HCT04");
  });

  test("is enough for 74HCT", () => {
    expect(verdictNamed(from("CMOS on 3V3", "74HCT04"), "high level READY outside to HCT").state).toBe("holds");
    expect(verdictNamed(from("CMOS at 3.3 V ± 5 %", "74HCT04"), "high level READY outside to HCT").state).toBe("holds");
  });
});

describe("a signal from outside", () => {
  const from = (levels: string, receiver: string) =>
    bench({
      inputs: `READY: {any time: {high: 1 us, low: 1 us, repeat: 2 us}${levels}}`,
      chips: { U1: [receiver, "1A=READY"] },
    });

  test("counts as CMOS where the file does not say, and the verdict says that it is assumed", () => {
    const verdict = verdictNamed(from("", "74HC04"), "high level READY outside to HC");
    expect(verdict.state).toBe("holds");
    expect(verdict.restsOn).toContain("assumed levels");
    expect(verdict.note).toContain("levels: TTL");
  });

  test.each(["TTL", "74LS", "R6502", "Z8400"])("from %s fails at a 74HC input and holds at a 74HCT one", (kind) => {
    expect(verdictNamed(from(`, levels: ${kind}`, "74HC04"), "high level READY outside to HC").state).toBe("fails");
    const held = verdictNamed(from(`, levels: ${kind}`, "74HCT04"), "high level READY outside to HCT");
    expect(held.state).toBe("holds");
    expect(held.restsOn).not.toContain("assumed levels");
  });
});

describe("chips on two supplies", () => {
  const on = (driver: string, receiver: string) =>
    bench({
      supply: "{main: 5 V ± 5 %, 3V3: 3.3 V ± 5 %}",
      chips: { U1: [driver, "1Y=NET"], U2: [receiver, "1A=NET VCC=3V3"] },
    });

  test("a 5 V output is more than a 74HC input on 3.3 V stands, with a 74LVC gate for remedy", () => {
    const verdict = verdictNamed(on("74HC04", "74HC04"), "input limit NET HC to HC");
    expect(verdict).toMatchObject({ state: "fails", required: 5_250_000, available: 3_135_000 });
    expect(verdict.remedies[0]).toContain("74LVC");
  });

  test.each(["74LVC04", "74AHC04"])("%s inputs stand it", (receiver) => {
    const [, family = ""] = /^74([A-Z]+)/.exec(receiver) ?? [];
    expect(verdictNamed(on("74HC04", receiver), `input limit NET HC to ${family}`).state).toBe("holds");
  });

  test("a rail of one supply at an input on the other is judged too", () => {
    const circuit = bench({
      supply: "{main: 5 V ± 5 %, 3V3: 3.3 V ± 5 %}",
      chips: { U1: ["74HC04", "1A=3V3"], U2: ["74HC04", "1A=high VCC=3V3"] },
    });
    const low = verdictNamed(circuit, "high level 3V3 rail to HC");
    expect(low).toMatchObject({ state: "fails", remedies: ["U1 1A on the rail of main, the supply of U1"] });
    expect(verdictNamed(circuit, "input limit high rail to HC").state).toBe("fails");
  });

  test("nothing is said of the limits of inputs on the driver's own supply", () => {
    const rules = judgeElectrical(gate("74HC00", "74HC04")).verdicts.map(({ rule }) => rule);
    expect(rules).not.toContain("input limit");
  });
});

test("a chip outside the supply of its sheet fails: 74LS from 4.5 V", () => {
  const at = (supply: string) => verdictNamed(gate("74LS00", "74HCT04", { supply }), "supply range U1 LS");
  expect(at("5 V ± 5 %").state).toBe("holds");
  expect(at("5 V ± 10 %")).toMatchObject({ state: "fails", margin: -250_000 });
  expect(at("5 V ± 10 %").remedies[0]).toContain("4.75 V to 5.25 V");
});

test("a memory's TTL levels reach 74HCT and not 74HC, and the verdict says that they are recalled", () => {
  const read = (receiver: string) =>
    bench({ chips: { U1: ["HM62256B-7", "WE#=high IO0=NET"], U2: [receiver, "1A=NET"] } });
  const fails = verdictNamed(read("74HC04"), "high level NET SRAM to HC");
  expect(fails).toMatchObject({ state: "fails", available: 2_400_000 });
  expect(fails.restsOn).toContain("from memory");
  expect(verdictNamed(read("74HCT04"), "high level NET SRAM to HCT")).toMatchObject({
    state: "holds",
    margin: 400_000,
  });
});

describe("a processor among the chips", () => {
  const bus = (processor: string, clock: string, receiver: string) =>
    bench({
      chips: {
        X1: ["OSC-1MHz", "OUT=CLOCK"],
        U1: [processor, `${clock}=CLOCK A0=NET`],
        U2: [receiver, "1A=NET 2A=CLOCK"],
      },
    });

  test("of NMOS gives 2.4 V, enough for 74HCT and not for 74HC", () => {
    expect(verdictNamed(bus("R6502", "PHI0", "74HC04"), "high level NET processor to HC").state).toBe("fails");
    expect(verdictNamed(bus("R6502", "PHI0", "74HCT04"), "high level NET processor to HCT").state).toBe("holds");
  });

  test("of CMOS reaches 74HC, and wants its clock near the rails", () => {
    const circuit = bus("W65C02S", "PHI2", "74HC04");
    expect(verdictNamed(circuit, "high level NET processor to HC").state).toBe("holds");
    // VDD - 0.4 V at 5.25 V, which the can gives exactly.
    expect(verdictNamed(circuit, "high level CLOCK oscillator to processor")).toMatchObject({ margin: 0 });
  });
});

test("a failure is accepted in volts, down to what is accepted", () => {
  const circuit = gate("74LS00", "74HC04");
  const accept = (amount: number) => ({
    ...circuit,
    accepted: [
      {
        verdict: "high level NET LS to HC",
        margin: { quantity: "voltage", amount } as const,
        reason: "measured 4.1 V on the bench",
      },
    ],
  });
  expect(verdictNamed(accept(-1_000_000), "high level NET LS to HC").accepted).toMatchObject({ lapsed: false });
  expect(verdictNamed(accept(-900_000), "high level NET LS to HC").accepted).toMatchObject({ lapsed: true });
  const inNanoseconds = {
    ...circuit,
    accepted: [{ ...accept(0).accepted[0], margin: { quantity: "time", amount: 0 } }],
  };
  const { idleAcceptances } = judgeElectrical(inNanoseconds as typeof circuit);
  expect(idleAcceptances.map(({ why }) => why)).toEqual(["another unit"]);
});
