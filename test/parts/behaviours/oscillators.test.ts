import { describe, expect, it } from "vitest";
import { ns } from "../../../src/quantity/index.js";
import { buildCircuit, makePart, oscillator, ANY_TIME } from "../../support/build-circuit.js";
import { behaviourOf } from "../../../src/parts/index.js";
import { letterOf, listen, play, start } from "../../simulation/running.js";

/** A can of 40 ns whose pin 1 is an output enable. */
function enabledCan() {
  const behaviour = behaviourOf("oscillator with enable");
  if (!behaviour) throw new Error("no oscillator with enable");
  return makePart(behaviour, { delay: 10 }, oscillator(40).oscillation);
}

/** Levels of OUT at odd nanoseconds of one period, from 1 ns after `from` on. */
function period(can: ReturnType<typeof circuitOf>, from: number, enable: 0 | 1): string {
  const simulator = start(can, { inputs: { OE: enable } });
  let seen = "";
  for (let time = from + 1; time < from + 41; time += 2) {
    simulator.run(ns(time));
    seen += letterOf(simulator, "OUT");
  }
  return seen;
}

function circuitOf(pins: string) {
  return buildCircuit({ chips: { X1: [enabledCan(), pins] }, inputs: { OE: ANY_TIME } });
}

describe("oscillator cans (MF Electronics, crystal oscillators HCMOS/TTL 5 V: high or open runs, low is three-state)", () => {
  it("without an enable pin run from the start, high and low for their duty", () => {
    const simulator = start(buildCircuit({ chips: { X1: [oscillator(40), "OUT=OUT"] } }));
    const changes = listen(simulator, "OUT");
    simulator.run(ns(401));
    const times = changes.map(([time]) => time);
    expect(times.length).toBeGreaterThanOrEqual(20);
    expect(new Set(times.slice(1).map((time, i) => time - (times[i] ?? 0)))).toEqual(new Set([20]));
  });

  it("with the enable high run", () => {
    const seen = period(circuitOf("OE=OE OUT=OUT"), 400, 1);
    expect([...seen].filter((level) => level === "1")).toHaveLength(10);
    expect([...seen].filter((level) => level === "0")).toHaveLength(10);
  });

  it("with the enable low drive nothing", () => {
    expect(period(circuitOf("OE=OE OUT=OUT"), 400, 0)).toBe("z".repeat(20));
  });

  it("let go when the enable falls", () => {
    const simulator = start(circuitOf("OE=OE OUT=OUT"), { inputs: { OE: 1 } });
    play(simulator, "OE", [[1000, 0]]);
    simulator.run(ns(999));
    expect(letterOf(simulator, "OUT")).toMatch(/[01]/);
    simulator.run(ns(1100));
    expect(letterOf(simulator, "OUT")).toBe("z");
  });
});
