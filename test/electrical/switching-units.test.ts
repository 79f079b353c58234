import { describe, expect, test } from "vitest";
import { switchingUnits } from "../../src/electrical/switching-units.js";
import { behaviourOf } from "../../src/parts/index.js";

const unitsOf = (fn: string) => {
  const behaviour = behaviourOf(fn);
  if (!behaviour) throw new Error(`no function ${fn}`);
  return switchingUnits(behaviour);
};

describe("what a chip's sheet counts as one", () => {
  // The titles of the sheets: quad gate, octal buffer, dual decoder, 4-bit counter, 12-stage counter.
  test.each([
    ["00", 4],
    ["04", 6],
    ["244", 8],
    ["245", 8],
    ["157", 4],
    ["153", 2],
    ["151", 1],
    ["138", 1],
    ["139", 2],
    ["283", 1],
    ["85", 1],
    ["74", 2],
    ["174", 6],
    ["574", 8],
    ["373", 8],
    ["163", 1],
    ["393", 2],
    ["595", 1],
    ["166", 1],
    ["4040", 1],
  ])("in a %s there are %i", (fn, count) => {
    expect(unitsOf(fn)).toHaveLength(count);
  });

  test("a flip-flop is paced by its clock, a gate by its inputs, a latch by its data", () => {
    expect(unitsOf("74")[1]).toEqual({ outputs: ["2Q", "2Q#"], paced: ["2CLK"] });
    expect(unitsOf("00")[0]).toEqual({ outputs: ["1Y"], paced: ["1A", "1B"] });
    expect(unitsOf("373")[2]).toEqual({ outputs: ["3Q"], paced: ["3D"] });
    expect(unitsOf("4040")[0]?.paced).toEqual(["CLK"]);
  });

  test("memories and oscillators have none: their sheets give a current", () => {
    expect(unitsOf("32Kx8")).toEqual([]);
    expect(unitsOf("oscillator")).toEqual([]);
  });
});
