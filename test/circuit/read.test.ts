import { describe, expect, test } from "vitest";
import { circuitOf, lamp, lampWith, lines, netOf, pinsOf, read } from "./harbour.js";

describe("what stands in the file", () => {
  test("the defaults fill in what a file leaves out", () => {
    expect(circuitOf(lamp)).toMatchObject({
      title: "Lamp of the harbour entrance",
      supplyVolts: { min: 4.5, max: 5.5 },
      ambientCelsius: { min: 0, max: 70 },
      build: "breadboard",
      unstatedMinimum: { fractionOfTypical: 0.25 },
      allowedContention: 0,
      wireDelay: { min: 0, max: 1_900_000 },
    });
  });

  test("quantities are in base units", () => {
    const head = `supply: 5 V ± 5 %
ambient: 10 to 40 °C
build: printed board
unstated minimum delays: zero
limits: {contention: 2 ns, undriven: 300 ns}
makers: {74HC04: Texas Instruments}
raster:`;
    const circuit = circuitOf(lampWith("raster:", head));
    expect(circuit).toMatchObject({
      supplyVolts: { min: 4.75, max: 5.25 },
      ambientCelsius: { min: 10, max: 40 },
      build: "printed board",
      unstatedMinimum: { fractionOfTypical: 0 },
      allowedContention: 2_000_000,
      allowedUndriven: 300_000_000,
      wireDelay: { min: 0, max: 1_000_000 },
    });
    expect(circuit.makers.get("74HC04")).toBe("Texas Instruments");
  });

  test.each([
    ["zero", 0],
    ["quarter of typical", 0.25],
    ["third of typical", 1 / 3],
    ["0.3 of typical", 0.3],
  ])("where no sheet states a minimum, '%s' is taken for it", (text, fractionOfTypical) => {
    const circuit = circuitOf(lampWith("raster:", `unstated minimum delays: ${text}\nraster:`));
    expect(circuit.unstatedMinimum).toEqual({ fractionOfTypical });
  });

  test("accepted failures keep their reason and margin", () => {
    const text = `${lamp}accept:\n  - {verdict: hold U1 1A, margin: -3 ns, reason: measured on the bench}\n`;
    expect(circuitOf(text).accepted).toEqual([
      { verdict: "hold U1 1A", margin: { quantity: "time", amount: -3_000_000 }, reason: "measured on the bench" },
    ]);
  });

  test("a failure of levels or loads is accepted in volts or amperes", () => {
    const accept = (margin: string) =>
      circuitOf(`${lamp}accept:\n  - {verdict: high level LAMP LS to HC, margin: ${margin}, reason: it works}\n`)
        .accepted[0]?.margin;
    expect(accept("-0.45 V")).toEqual({ quantity: "voltage", amount: -450_000 });
    expect(accept("-1.2 mA")).toEqual({ quantity: "current", amount: -1_200_000 });
    expect(accept("-40 pF")).toEqual({ quantity: "capacitance", amount: -40_000 });
  });

  test("a signal from outside comes at CMOS levels of the main supply, or as the file says", () => {
    const { inputs, supplies } = circuitOf(`supply: {main: 5 V ± 10 %, 3V3: 3.3 V ± 5 %}
${lamp.replace("2A, 3A: DOT", "2A: DOT\n      3A: BELL")}inputs:
  BELL: {any time: {high: 1 us, low: 1 us, repeat: 2 us}, levels: 74LS on 3V3}
`);
    expect(inputs[0]?.levels).toEqual({ kind: "74LS", supply: supplies[1] });
  });

  test("passives have their value in base units and may lead to nets without pins", () => {
    const text = `${lamp}passives:
  R1: {value: 4.7 kohm, between: [LAMP, SOCKET], note: to the socket}
  C1: {value: 100 nF, between: [VCC, GND]}
`;
    const { passives, nets } = circuitOf(text);
    expect(passives).toEqual([
      { ref: "R1", kind: "resistor", value: "4.7 kohm", amount: 4700, nets: ["LAMP", "SOCKET"], note: "to the socket" },
      { ref: "C1", kind: "capacitor", value: "100 nF", amount: 100e-9, nets: ["high", "low"], note: "" },
    ]);
    expect(nets.some(({ name }) => name === "SOCKET")).toBe(false);
  });
});

describe("chips and nets", () => {
  test("a net knows what drives it and what reads it", () => {
    const dot = netOf(circuitOf(lamp), "DOT");
    expect(pinsOf(dot.drivers)).toEqual(["X1 OUT"]);
    expect(pinsOf(dot.receivers)).toEqual(["U1 1A", "U1 2A", "U1 3A"]);
  });

  test("a net's id is its index, and the rails are nets", () => {
    const { nets } = circuitOf(lamp);
    expect(nets.map(({ id }) => id)).toEqual(nets.map((_, index) => index));
    expect(nets.filter(({ rail }) => rail).map(({ name, rail }) => [name, rail])).toEqual([
      ["low", "low"],
      ["high", "high"],
    ]);
  });

  test("a chip knows the net of each pin and which pins are open on purpose", () => {
    const circuit = circuitOf(lamp);
    const inverter = circuit.chips.find(({ ref }) => ref === "U1");
    expect(inverter?.nets.get("1Y")).toBe(netOf(circuit, "HS"));
    expect(inverter?.nets.get("4A")).toBe(netOf(circuit, "low"));
    expect([...(inverter?.open ?? [])]).toEqual(["4Y", "5Y", "6Y"]);
    expect(inverter?.nets.has("VCC")).toBe(false);
  });

  test("a pin that drives and reads counts as both", () => {
    const text = `${lamp}  U2:
    part: 74HC245
    pins:
      A[1..8]: BUS[0..7]
      B[1..8]: low
      DIR: DOT
      OE#: DOT
  U3:
    part: 74HC245
    pins: {"A[1..8]": "BUS[7..0]", "B[1..8]": high, DIR: DOT, OE#: high}
`;
    const circuit = circuitOf(text);
    const bus = netOf(circuit, "BUS0");
    expect(pinsOf(bus.drivers)).toEqual(["U2 A1", "U3 A8"]);
    expect(pinsOf(bus.receivers)).toEqual(["U2 A1", "U3 A8"]);
  });

  test("pins may be written by a maker's name or by the number on the package", () => {
    const circuit = circuitOf(lampWith("3Y: LAMP", "6: LAMP"));
    expect(pinsOf(netOf(circuit, "LAMP").drivers)).toEqual(["U1 3Y"]);
    const latch = circuitOf(`${lamp}  U2:
    part: 74HC574
    pins: {CP: DOT, OE#: low, "D[0..7]": low, "Q[0..7]": open}
`).chips.at(-1);
    expect([...(latch?.nets.keys() ?? [])]).toContain("CLK");
  });

  test("ranges of pins pair with ranges of nets in the order written", () => {
    const circuit = circuitOf(`${lamp}  U2:
    part: 74HC163
    pins:
      Q[A..D]: [N3, "N[2..1]", N0]
      A, B, C, D: low
      CLK: DOT
      CLR#, LOAD#, ENP, ENT: high
      RCO: open
  U3:
    part: 74HC04
    pins: {"[1..4]A": "N[0..3]", "5A, 6A": low, "[1..6]Y": open}
`);
    const counter = circuit.chips.find(({ ref }) => ref === "U2");
    expect(["QA", "QB", "QC", "QD"].map((pin) => counter?.nets.get(pin)?.name)).toEqual(["N3", "N2", "N1", "N0"]);
  });

  test("a chip on a further supply names it at its VCC pin, and its figures are those of that supply", () => {
    const text = lampWith("raster:", 'supply: {main: 5 V ± 10 %, "3V3": 3.3 V ± 5 %}\nraster:').replace(
      "      1Y: HS",
      "      VCC: 3V3\n      1Y: HS",
    );
    const circuit = circuitOf(text);
    const [oscillator, inverter] = circuit.chips;
    expect(circuit.supplies.map(({ name }) => name)).toEqual(["main", "3V3"]);
    expect(oscillator?.supply.volts).toEqual({ min: 4.5, max: 5.5 });
    expect(inverter?.supply.volts).toEqual({ min: 3.135, max: 3.465 });
    expect(netOf(circuit, "3V3")).toMatchObject({ rail: "high", supply: { name: "3V3" } });
    expect(inverter?.part).not.toBe(circuitOf(lamp).chips[1]?.part);
  });

  test("nets to come may lack what drives or reads them", () => {
    const text = lampWith("4A, 5A, 6A: low", "4A: BELL\n      5A, 6A: low").replace("4Y, 5Y", "4Y: HORN\n      5Y");
    expect(read(text).circuit).toBeUndefined();
    const circuit = circuitOf(`${text}to come: [BELL, HORN]\n`);
    expect(circuit.toCome).toEqual([netOf(circuit, "BELL").id, netOf(circuit, "HORN").id]);
    expect(netOf(circuit, "BELL").toCome).toBe(true);
  });
});

describe("enables that are tied to a rail", () => {
  const buffers = (enable: string, other: string) => `${lamp}  U2:
    part: 74HC125
    pins: {1OE#: ${enable}, 2OE#: ${other}, "3OE#, 4OE#": high, "[1..4]A": DOT, "1Y, 2Y": BUS, "3Y, 4Y": open}
  U3: {part: 74HC04, pins: {1A: BUS, "[2..6]A": low, "[1..6]Y": open}}
`;

  test("two outputs may share a net while one of them has an enable that moves", () => {
    expect(read(buffers("low", "DOT")).problems).toEqual([]);
  });

  test("an output that is never enabled does not count as a second driver", () => {
    expect(read(buffers("low", "high")).problems).toEqual([]);
  });

  test("two outputs that are always enabled may not", () => {
    expect(read(buffers("low", "low")).problems).toMatchObject([{ code: "two-drivers" }]);
  });
});

describe("inputs", () => {
  const inputs = `${lampWith("4A, 5A, 6A: low", "4A: WR#\n      5A: PA0\n      6A: PA1")}inputs:
  WR#: {any time: {high: 100 ns, low: 120 ns, repeat: 2.6 us}}
  PA[0..1]: {steady around: WR# rise, before: 40 ns, after: 10 ns}
  READY: {after: STROBE fall, from: -5 ns, to: 40 ns}
  STROBE: {after: DOT rise, from: 0 ns, to: 5 ns}
  NIGHT: {after: READY rise, from: 0 ns, to: 5 ns}
`;

  test("have their timing, against nets of the circuit or against each other", () => {
    const circuit = circuitOf(
      inputs
        .replace(/ {2}NIGHT.*\n/, "")
        .replace("6A: PA1", "6A: READY")
        .replace("[0..1]", "0"),
    );
    const id = (name: string) => netOf(circuit, name).id;
    expect(circuit.inputs).toEqual([
      { net: id("WR#"), timing: { kind: "any time", leastHigh: 1e8, leastLow: 1.2e8, leastRepeat: 2.6e9 } },
      { net: id("PA0"), timing: { kind: "steady around", net: id("WR#"), edge: "rise", before: 4e7, after: 1e7 } },
      { net: id("READY"), timing: { kind: "after", net: id("STROBE"), edge: "fall", delay: { min: -5e6, max: 4e7 } } },
      { net: id("STROBE"), timing: { kind: "after", net: id("DOT"), edge: "rise", delay: { min: 0, max: 5e6 } } },
    ]);
    expect(netOf(circuit, "PA0").input).toBe(circuit.inputs[1]);
  });

  test("that no chip has a pin for may only serve as reference for others", () => {
    expect(lines(read(inputs).problems)).toEqual([
      "lamp.yaml:23:3: no chip has a pin on net NIGHT, named under 'inputs'",
    ]);
  });

  test("that are for power-up only have their active level", () => {
    const text = `${lampWith("4A, 5A, 6A: low", "4A: RESET#\n      5A, 6A: low")}inputs:
  RESET#: {power-up only: low, at least: 100 ms}
`;
    expect(circuitOf(text).inputs[0]?.timing).toEqual({ kind: "power-up only", active: "low", least: 1e14 });
  });
});

describe("the picture", () => {
  test("of one bit has a video net", () => {
    const circuit = circuitOf(lamp);
    const id = (name: string) => netOf(circuit, name).id;
    const video = { kind: "mono", net: id("LAMP") };
    expect(circuit.picture).toEqual({ hsync: id("HS"), vsync: id("VS"), video, width: 320, height: 240 });
  });

  test("in colour has a list of nets for each colour, the most significant first", () => {
    const text = lampWith("video: LAMP", "red: [R1, R0], green: LAMP").replace(
      "4Y, 5Y, 6Y: open",
      "4Y: R0\n      5Y: R1\n      6Y: open",
    );
    const circuit = circuitOf(text);
    const id = (name: string) => netOf(circuit, name).id;
    const video = { kind: "colour", red: [id("R1"), id("R0")], green: [id("LAMP")], blue: [] };
    expect(circuit.picture?.video).toEqual(video);
  });
});

test("places tell where chips, pins and nets stand in the file", () => {
  const { places } = read(lamp);
  expect(places.chip("U1")).toMatchObject({ file: "lamp.yaml", line: 7, column: 3 });
  expect(places.pin("U1", "2A")).toMatchObject({ line: 10, column: 11, endLine: 10, endColumn: 13 });
  expect(places.net("VS")).toMatchObject({ line: 12, column: 11 });
  expect(places.net("TIDE")).toBeUndefined();
});

test("comments, anchors and aliases of YAML serve as everywhere", () => {
  const text = lampWith("4A, 5A, 6A: low", "4A: &off low # not used\n      5A: *off\n      6A: *off");
  expect(read(text).problems).toEqual([]);
  expect(pinsOf(netOf(circuitOf(text), "low").receivers)).toEqual(["U1 4A", "U1 5A", "U1 6A"]);
});

test("a byte order mark and line ends of either kind change nothing", () => {
  const circuit = circuitOf(`\uFEFF${lamp.replaceAll("\n", "\r\n")}`);
  expect(circuit.nets.map(({ name }) => name)).toEqual(circuitOf(lamp).nets.map(({ name }) => name));
});
