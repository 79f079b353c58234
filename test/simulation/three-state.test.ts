import { describe, expect, it } from "vitest";
import { ns } from "../../src/quantity/index.js";
import { ANY_TIME, buildCircuit, gate, known } from "../support/build-circuit.js";
import { letterOf, listen, play, start } from "./running.js";

/** Two buffers on one net, and an inverter that listens. */
function twoDrivers(disable: number, enable: number) {
  const delay = (_from: string, _edge: string, _to: string, change: string) =>
    change.endsWith("-z") ? disable : enable;
  return buildCircuit({
    chips: {
      U1: [known("125", { delay }), "1OE#=E1# 1A=high 1Y=BUS"],
      U2: [known("125", { delay }), "1OE#=E2# 1A=low 1Y=BUS"],
      U3: [gate("A", "!A", 1), "A=BUS Y=OUT"],
    },
    inputs: { "E1#": ANY_TIME, "E2#": ANY_TIME },
  });
}

describe("several drivers on a net", () => {
  it("leave it undriven between an early release and a late take-over; a receiver sees unknown", () => {
    const simulator = start(twoDrivers(4, 10), { inputs: { "E1#": 0, "E2#": 1 } });
    const [bus, out] = [listen(simulator, "BUS"), listen(simulator, "OUT")];
    expect(letterOf(simulator, "BUS")).toBe("1");
    play(simulator, "E1#", [[100, 1]]);
    play(simulator, "E2#", [[100, 0]]);
    simulator.run(ns(200));
    expect(bus).toEqual([
      [104, "z"],
      [110, "0"],
    ]);
    expect(out).toEqual([
      [105, "x"],
      [111, "1"],
    ]);
    expect(simulator.contentions.count).toBe(0);
  });

  it("are in contention between an early take-over and a late release; the net is unknown", () => {
    const simulator = start(twoDrivers(10, 4), { inputs: { "E1#": 0, "E2#": 1 } });
    const bus = listen(simulator, "BUS");
    play(simulator, "E1#", [[100, 1]]);
    play(simulator, "E2#", [[100, 0]]);
    simulator.run(ns(200));
    expect(bus).toEqual([
      [104, "x"],
      [110, "0"],
    ]);
    const [contention] = simulator.contentions.ended;
    expect(contention).toMatchObject({ from: 104e6, to: 110e6, opposed: true, pins: ["U1 1Y", "U2 1Y"] });
    expect(contention?.net.name).toBe("BUS");
    expect(simulator.contentions.count).toBe(1);
  });

  it("are in contention, too, while they happen to agree", () => {
    const circuit = buildCircuit({
      chips: {
        U1: [known("125", { delay: 5 }), "1OE#=E1# 1A=high 1Y=BUS"],
        U2: [known("125", { delay: 5 }), "1OE#=E2# 1A=high 1Y=BUS"],
      },
      inputs: { "E1#": ANY_TIME, "E2#": ANY_TIME },
    });
    const simulator = start(circuit, { inputs: { "E1#": 0, "E2#": 1 } });
    const bus = listen(simulator, "BUS");
    play(simulator, "E2#", [[100, 0]]);
    play(simulator, "E2#", [[150, 1]]);
    simulator.run(ns(200));
    expect(bus).toEqual([]);
    expect(simulator.contentions.ended).toMatchObject([{ from: 105e6, to: 155e6, opposed: false }]);
    expect(simulator.contentions.open).toEqual([]);
  });

  it("reach each receiver by wires of their own", () => {
    const circuit = buildCircuit({
      chips: {
        U1: [known("125", { delay: 5 }), "1OE#=E1# 1A=high 1Y=BUS"],
        U2: [known("125", { delay: 5 }), "1OE#=E2# 1A=low 1Y=BUS"],
        U3: [gate("A", "A", 1), "A=BUS Y=OUT"],
      },
      inputs: { "E1#": ANY_TIME, "E2#": ANY_TIME },
    });
    // The release comes 7 ns later than the take-over at U3, though both leave at once.
    const wires = new Map([
      ["U1 1Y to U3 A", ns(9)],
      ["U2 1Y to U3 A", ns(2)],
    ]);
    const simulator = start(circuit, {
      delays: { arcs: new Map(), wires, oscillators: new Map(), otherwise: "typical" },
      inputs: { "E1#": 0, "E2#": 1 },
    });
    const out = listen(simulator, "OUT");
    play(simulator, "E1#", [[100, 1]]);
    play(simulator, "E2#", [[100, 0]]);
    simulator.run(ns(200));
    expect(out).toEqual([
      [108, "x"],
      [115, "0"],
    ]);
  });

  it("let a pin of both kinds see what its own chip drives", () => {
    const circuit = buildCircuit({
      chips: { U1: [known("245", { delay: 6 }), "OE#=low DIR=DIR A1=LEFT B1=RIGHT"] },
      inputs: { DIR: ANY_TIME, LEFT: ANY_TIME },
    });
    const simulator = start(circuit, { inputs: { DIR: 1, LEFT: 1 } });
    expect(letterOf(simulator, "RIGHT")).toBe("1");
    const right = listen(simulator, "RIGHT");
    play(simulator, "LEFT", [[50, 0]]);
    simulator.run(ns(100));
    expect(right).toEqual([[56, "0"]]);
  });
});
