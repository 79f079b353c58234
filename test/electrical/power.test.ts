import { describe, expect, test } from "vitest";
import { powerAdvice, powerVerdicts } from "../../src/electrical/power-rule.js";
import { switchingAdvice } from "../../src/electrical/switching-advice.js";
import { boardFrom } from "../paper/board-fixture.js";
import { netOf } from "../support/build-circuit.js";

interface BoardText {
  readonly part: string;
  readonly pins: string;
  readonly supply?: string;
  readonly ambient?: string;
  readonly more?: string;
}

const board = ({ part, pins, supply = "5 V ± 10 %", ambient = "0 to 50 °C", more = "" }: BoardText) =>
  boardFrom(`
dotwright: 1
title: Harbour lamp
supply: ${supply}
ambient: ${ambient}
raster: 640x480@60
inputs:
  IN: {power-up only: low, at least: 100 ms}
chips:
  U1:
    part: ${part}
    pins: {${pins}}
${more}
`);

/** Edges a second by net. */
function switching(circuit: ReturnType<typeof board>, hertz: Readonly<Record<string, number>>) {
  const edges = Object.entries(hertz).map(([net, rate]) => [netOf(circuit, net).id as number, 2 * rate] as const);
  return { edgesPerSecond: new Map(edges) };
}

const inverters = "1A: IN, 1Y: A, 2A: A, 2Y: B, 3A: B, 3Y: C, '4A, 5A, 6A': low, '4Y, 5Y, 6Y': open";

function verdictsOf(circuit: ReturnType<typeof board>, hertz: Readonly<Record<string, number>>) {
  return new Map(powerVerdicts(circuit, switching(circuit, hertz)).map((one) => [one.name, one]));
}

describe("power of a chip", () => {
  test("inside is Cpd times the supply squared times the rate of each gate", () => {
    const circuit = board({ part: "74HC04", pins: inverters });
    const found = verdictsOf(circuit, { IN: 1e6, A: 1e6, B: 1e6, C: 1e6 }).get("supply current U1");
    // Texas Instruments SCLS078G: 20 pF an inverter; three at 1 MHz and 5.5 V are 330 µA.
    const inside = found?.reckoning.find(({ text }) => text.startsWith("inside"));
    expect(inside?.figure).toEqual({ quantity: "current", amount: 330_000 });
    expect(found?.state).toBe("holds");
  });

  test("grows with the load of the nets that it drives", () => {
    const circuit = board({ part: "74HC04", pins: inverters });
    const charging = (hertz: number) =>
      verdictsOf(circuit, { A: hertz })
        .get("supply current U1")
        ?.reckoning.find(({ text }) => text.startsWith("charging"))?.figure?.amount ?? 0;
    expect(charging(2e6)).toBeCloseTo(2 * charging(1e6), -1);
    // One input of 10 pF at most and some wire: at 5.5 V and 1 MHz 55 µA and a little.
    expect(charging(1e6)).toBeGreaterThan(55_000);
    expect(charging(1e6)).toBeLessThan(400_000);
  });

  test("is its sheet's supply current for a bipolar chip, whatever switches", () => {
    const circuit = board({ part: "74LS04", pins: inverters, supply: "5 V ± 5 %" });
    const found = verdictsOf(circuit, {}).get("dissipation U1");
    // Texas Instruments SDLS029C: 6.6 mA at most; at 5.25 V 34.65 mW.
    expect(found?.required).toBe(34_650_000);
    expect(found?.state).toBe("holds");
  });

  test("counts inputs that a TTL output holds below the supply", () => {
    const more = `  U2:
    part: 74LS04
    pins: {1A: IN, 1Y: TTL, '2A, 3A, 4A, 5A, 6A': low, '2Y, 3Y, 4Y, 5Y, 6Y': open}`;
    const circuit = board({
      part: "74AHCT04",
      pins: "'1A, 2A': TTL, '3A, 4A, 5A, 6A': low, '1Y, 2Y, 3Y, 4Y, 5Y, 6Y': open",
      supply: "5 V ± 5 %",
      more,
    });
    const line = verdictsOf(circuit, {})
      .get("supply current U1")
      ?.reckoning.find(({ text }) => text === "inputs at TTL levels");
    // Texas Instruments SCLS264R: 1.5 mA an input to 85 °C.
    expect(line?.figure).toEqual({ quantity: "current", amount: 3_000_000 });
  });

  test("fails where outputs give more than the supply pin carries", () => {
    const resistors = ["A", "B", "C", "D", "E", "F"].map(
      (net, at) => `  R${at}: {value: 330 ohm, tolerance: 1 %, between: [${net}, MONITOR${at}]}`,
    );
    const circuit = board({
      part: "74HC04",
      pins: "'1A, 2A, 3A, 4A, 5A, 6A': IN, 1Y: A, 2Y: B, 3Y: C, 4Y: D, 5Y: E, 6Y: F",
      more: `  U2: {part: 74HC04, pins: {1A: IN, 1Y: HS, 2A: IN, 2Y: VS, '3A, 4A, 5A, 6A': low, '3Y, 4Y, 5Y, 6Y': open}}
picture: {size: 320 x 240, hsync: HS, vsync: VS, red: [A, B], green: [C, D], blue: [E, F]}
passives:
${resistors.join("\n")}`,
    });
    const found = verdictsOf(circuit, {}).get("supply current U1");
    // Six times 5.5 V over 327 and 75 ohm are 82 mA; Philips allow 50 mA at a supply pin.
    expect(found?.state).toBe("fails");
    expect((found?.required ?? 0) / 1e6).toBeCloseTo((6 * 5.5e3) / (326.7 + 75), 0);
  });

  test("allows less heat in hotter air: 12 mW less for each kelvin beyond 70 °C", () => {
    const at = (ambient: string) =>
      verdictsOf(board({ part: "74HC04", pins: inverters, ambient }), {}).get("dissipation U1")?.available;
    // Philips HC family specifications: 750 mW to 70 °C, 12 mW/K beyond.
    expect(at("0 to 70 °C")).toBe(750e6);
    expect(at("0 to 85 °C")).toBe(570e6);
  });

  test("says which Cpd stands in where no sheet gives one", () => {
    const circuit = board({
      part: "74ACT174",
      pins: "CLK: IN, CLR#: high, '1D, 2D, 3D, 4D, 5D, 6D': low, '1Q, 2Q, 3Q, 4Q, 5Q, 6Q': open",
    });
    const found = verdictsOf(circuit, { IN: 1e6 }).get("dissipation U1");
    expect(found?.note).toContain("stands in");
    expect(found?.restsOn).toContain("common practice");
  });

  test("is not judged without a count of what switches", () => {
    const circuit = board({ part: "74HC04", pins: inverters });
    expect(powerVerdicts(circuit, {})).toEqual([]);
    expect(powerAdvice(circuit, {})).toEqual([]);
  });
});

describe("advice on the supply", () => {
  test("names the total, what draws most, and a current limit above it", () => {
    const more = "  U25: {part: 62256-70, pins: {'A[0..14]': low, CE#: low, OE#: low, WE#: high, 'IO[0..7]': open}}";
    const circuit = board({ part: "74HC04", pins: inverters, more });
    const [advice] = powerAdvice(circuit, switching(circuit, { A: 1e6 }));
    // The worst 62256-70 on record, AS6C62256A-70: 70 mA.
    expect(advice?.text).toMatch(/^The board draws 7\d mA at most/);
    expect(advice?.text).toContain("U25 62256-70 70 mA");
    expect(advice?.text).toMatch(/current limit to about 150 mA/);
  });

  test("says of which chips nothing is on record", () => {
    const more = "  U25: {part: CY7C199-15, pins: {'A[0..14]': low, CE#: low, OE#: low, WE#: high, 'IO[0..7]': open}}";
    const circuit = board({ part: "74HC04", pins: inverters, more });
    const [advice] = powerAdvice(circuit, switching(circuit, {}));
    expect(advice?.text).toContain("No sheet on record says what these draw, so theirs comes on top: U25 CY7C199-15.");
  });

  // Texas Instruments SDYA011: 20 mA an HCMOS output, 60 mA an AC output, 5 to 10 ns. Eight at 100 nF: 16 and 48 mV.
  test.each([
    ["74HC244", "160 mA", "16 mV"],
    ["74AC244", "480 mA", "48 mV"],
  ])("tells what eight outputs of a %s that switch together take off its capacitor", (part, milliamps, millivolts) => {
    const pins = "'1OE#, 2OE#': low, '1A[1..4], 2A[1..4]': IN, '1Y[1..4], 2Y[1..4]': open";
    const circuit = board({ part, pins });
    const [advice] = switchingAdvice(circuit, { outputsTogether: new Map([["U1", 8]]) });
    expect(advice?.text).toContain(milliamps);
    expect(advice?.text).toContain(millivolts);
    expect(switchingAdvice(circuit, { outputsTogether: new Map([["U1", 4]]) })).toEqual([]);
  });
});
