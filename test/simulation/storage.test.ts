import { describe, expect, it } from "vitest";
import { latch, register } from "../../src/parts/behaviours/define.js";
import { ns } from "../../src/quantity/index.js";
import { ANY_TIME, buildCircuit, chipOf, invent, known, oscillator } from "../support/build-circuit.js";
import { letterOf, listen, play, start } from "./running.js";

const inputs = (...names: string[]) => Object.fromEntries(names.map((name) => [name, ANY_TIME]));

describe("storage in the simulation", () => {
  it("takes the data that stood before the clock, and shows it after the clock's delay", () => {
    const circuit = buildCircuit({
      chips: { U1: [known("74", { delay: 12 }), "1D=D 1CLK=CLK 1CLR#=high 1PRE#=high 1Q=Q 1Q#=Q#"] },
      inputs: inputs("D", "CLK"),
    });
    const simulator = start(circuit);
    const [q, qBar] = [listen(simulator, "Q"), listen(simulator, "Q#")];
    expect(letterOf(simulator, "Q")).toBe("x");
    play(simulator, "D", [[5, 1]]);
    play(simulator, "D", [[20, 0]]);
    play(simulator, "CLK", [[10, 1]]);
    play(simulator, "CLK", [[15, 0]]);
    play(simulator, "CLK", [[30, 1]]);
    simulator.run(ns(100));
    expect(q).toEqual([
      [22, "1"],
      [42, "0"],
    ]);
    expect(qBar).toEqual([
      [22, "0"],
      [42, "1"],
    ]);
  });

  it("clears and presets at once, with the delay from that pin", () => {
    const delay = (from: string) => (from === "1CLK" ? 12 : 20);
    const circuit = buildCircuit({
      chips: { U1: [known("74", { delay }), "1D=high 1CLK=CLK 1CLR#=CLR# 1PRE#=high 1Q=Q"] },
      inputs: inputs("CLK", "CLR#"),
    });
    const simulator = start(circuit, { inputs: { "CLR#": 1 } });
    const q = listen(simulator, "Q");
    play(simulator, "CLK", [[10, 1]]);
    play(simulator, "CLR#", [[50, 0]]);
    play(simulator, "CLK", [[60, 0]]);
    play(simulator, "CLK", [[70, 1]]); // a clock while the clear is low does nothing
    simulator.run(ns(200));
    expect(q).toEqual([
      [22, "1"],
      [70, "0"],
    ]);
  });

  it("counts through a synchronous counter with carry", () => {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(40), "OUT=CLK"],
        U1: [
          known("163", { delay: 9 }),
          "CLK=CLK CLR#=CLR# LOAD#=high ENP=high ENT=high A..D=low QA..QD=Q0..Q3 RCO=RCO",
        ],
      },
      inputs: inputs("CLR#"),
    });
    const simulator = start(circuit, { powerUp: { seed: 3 } });
    const carry = listen(simulator, "RCO");
    play(simulator, "CLR#", [[100, 1]]);
    simulator.run(ns(100 + 40 * 16 * 2 + 30));
    // The counter is cleared by clocks until 100 ns, and counts from then on: one carry in sixteen periods of 40 ns.
    const rises = carry.filter(([, value]) => value === "1").map(([time]) => time);
    expect(rises).toHaveLength(2);
    expect((rises[1] ?? 0) - (rises[0] ?? 0)).toBe(640);
    const [rise = 0] = rises;
    expect(carry.find(([time, value]) => value === "0" && time > rise)?.[0]).toBe(rise + 40);
  });

  it("passes a ripple through all stages of a counter in one event", () => {
    const circuit = buildCircuit({
      chips: { U1: [known("4040", { delay: 15 }), "CLK=CLK CLR=CLR QA=QA QL=QL"] },
      inputs: inputs("CLK", "CLR"),
    });
    const simulator = start(circuit, { inputs: { CLR: 1 } });
    const chip = chipOf(circuit, "U1");
    play(simulator, "CLR", [[10, 0]]);
    for (let pulse = 0; pulse < 2047; pulse++) {
      play(simulator, "CLK", [[100 + 100 * pulse, 1]]);
      play(simulator, "CLK", [[150 + 100 * pulse, 0]]);
    }
    simulator.run(ns(150 + 100 * 2047));
    expect(simulator.valueAt(chip, "qL")).toBe(0);
    const last = listen(simulator, "QL");
    play(simulator, "CLK", [[300_000, 1]]);
    play(simulator, "CLK", [[300_050, 0]]);
    simulator.run(ns(301_000));
    expect(last).toEqual([[300_065, "1"]]);
  });

  it("lets a latch follow its data while it is open, with the delay from the pin that moved", () => {
    const delay = (from: string) => (from === "G" ? 11 : 17);
    const part = invent(
      { function: "latch", inputs: "D G", outputs: "Q", storage: [latch("q", "G", "D")], drives: { Q: "q" } },
      { delay },
    );
    const circuit = buildCircuit({ chips: { U1: [part, "D=D G=G Q=Q"] }, inputs: inputs("D", "G") });
    const simulator = start(circuit, { inputs: { G: 1 } });
    const q = listen(simulator, "Q");
    play(simulator, "D", [[10, 1]]);
    play(simulator, "G", [[30, 0]]);
    play(simulator, "D", [[40, 0]]);
    play(simulator, "G", [[60, 1]]);
    simulator.run(ns(200));
    expect(q).toEqual([
      [27, "1"],
      [71, "0"],
    ]);
  });

  it("takes over in a second row what the first row held before, where one net clocks both", () => {
    // The SN74HC595's sheet (from memory): with both clocks tied, the shift register is one clock ahead of the outputs.
    const circuit = buildCircuit({
      chips: { U1: [known("595", { delay: 10 }), "SER=D SRCLK=CLK RCLK=CLK SRCLR#=high OE#=low QA=QA QB=QB QH'=QH"] },
      inputs: inputs("D", "CLK"),
    });
    const simulator = start(circuit, { powerUp: { seed: 1 } });
    const seen = [1, 1, 0, 0, 1].map((bit, index) => {
      const time = 100 * (index + 1);
      play(simulator, "D", [[time - 50, bit as 0 | 1]]);
      play(simulator, "CLK", [[time, 1]]);
      play(simulator, "CLK", [[time + 40, 0]]);
      simulator.run(ns(time + 45));
      return letterOf(simulator, "QA") + letterOf(simulator, "QB");
    });
    expect(seen.slice(2)).toEqual(["11", "01", "00"]);
  });

  it("is unknown after a clock that may not have risen, unless it would have taken what it holds", () => {
    const part = invent(
      { function: "register", inputs: "D CLK", outputs: "Q", storage: [register("q", "CLK", "D")], drives: { Q: "q" } },
      { delay: 5 },
    );
    const circuit = buildCircuit({ chips: { U1: [part, "D=D CLK=CLK Q=Q"] }, inputs: inputs("D", "CLK") });
    const simulator = start(circuit);
    const q = listen(simulator, "Q");
    play(simulator, "CLK", [[10, 1]]); // takes 0
    play(simulator, "CLK", [[20, 0]]);
    play(simulator, "CLK", [[30, 2]]); // may rise: takes 0 or keeps 0
    play(simulator, "CLK", [[40, 0]]);
    play(simulator, "D", [[50, 1]]);
    play(simulator, "CLK", [[60, 2]]); // may rise: 1 or 0
    play(simulator, "CLK", [[70, 1]]); // may rise again
    play(simulator, "CLK", [[80, 0]]);
    play(simulator, "CLK", [[90, 1]]);
    simulator.run(ns(200));
    expect(q).toEqual([
      [15, "0"],
      [65, "x"],
      [95, "1"],
    ]);
  });
});
