import { describe, expect, it } from "vitest";
import { behaviourOf, requirementsOf } from "../../src/parts/index.js";

function requirements(number: string) {
  const behaviour = behaviourOf(number);
  if (!behaviour) throw new Error(`no behaviour for ${number}`);
  const { windows, widths, recoveries, clocks } = requirementsOf(behaviour);
  return {
    windows: windows
      .map((one) => `${one.pin} at ${one.reference} ${one.edge}${one.hold ? "" : ", set-up only"}`)
      .sort(),
    widths: widths.map((one) => `${one.pin} ${one.level}`).sort(),
    recoveries: recoveries.map((one) => `${one.pin} ${one.edge} to ${one.reference} ${one.referenceEdge}`).sort(),
    clocks: clocks.map((one) => `${one.pin} ${one.edge}`).sort(),
  };
}

describe("requirements follow from the behaviour", () => {
  it("a flip-flop asks for set-up and hold, clock and preset widths, recovery", () => {
    expect(requirements("1G74")).toEqual({
      windows: ["D at CLK rise"],
      widths: ["CLK high", "CLK low", "CLR# low", "PRE# low"],
      recoveries: ["CLR# rise to CLK rise", "PRE# rise to CLK rise"],
      clocks: ["CLK rise"],
    });
  });

  it("a 163's clear has a set-up time, a 161's a width and a recovery time", () => {
    const common = ["A", "B", "C", "D", "ENP", "ENT", "LOAD#"].map((pin) => `${pin} at CLK rise`);
    expect(requirements("163")).toEqual({
      windows: [...common, "CLR# at CLK rise"].sort(),
      widths: ["CLK high", "CLK low"],
      recoveries: [],
      clocks: ["CLK rise"],
    });
    expect(requirements("161")).toEqual({
      windows: common,
      widths: ["CLK high", "CLK low", "CLR# low"],
      recoveries: ["CLR# rise to CLK rise"],
      clocks: ["CLK rise"],
    });
  });

  it("either clock input of a 166 must be steady around the other's edge", () => {
    expect(requirements("166").windows).toContain("CLKINH at CLK rise");
    expect(requirements("166").windows).toContain("CLK at CLKINH rise");
  });

  it("a 165's parallel data must be steady at the end of the load, its serial data at the clock", () => {
    const { windows, recoveries, widths } = requirements("165");
    expect(windows.filter((one) => one.endsWith("SH/LD# rise"))).toEqual(
      Array.from("ABCDEFGH", (pin) => `${pin} at SH/LD# rise`),
    );
    expect(windows.filter((one) => one.endsWith("CLK rise"))).toEqual(["CLKINH at CLK rise", "SER at CLK rise"]);
    expect(recoveries).toContain("SH/LD# rise to CLK rise");
    expect(widths).toContain("SH/LD# low");
  });

  it("a 595's shift clock and clear come before its register clock, without a hold time", () => {
    expect(requirements("595")).toEqual({
      windows: ["SER at SRCLK rise", "SRCLK at RCLK rise, set-up only", "SRCLR# at RCLK rise, set-up only"],
      widths: ["RCLK high", "RCLK low", "SRCLK high", "SRCLK low", "SRCLR# low"],
      recoveries: ["SRCLR# rise to SRCLK rise"],
      clocks: ["RCLK rise", "SRCLK rise"],
    });
  });

  it("a latch asks for data steady as it closes, and its enable for a width", () => {
    const { windows, widths, clocks } = requirements("573");
    expect(windows).toEqual([1, 2, 3, 4, 5, 6, 7, 8].map((n) => `${n}D at LE fall`));
    expect(widths).toEqual(["LE high"]);
    expect(clocks).toEqual([]);
  });

  it("every stage of a ripple counter answers to the one clock pin", () => {
    expect(requirements("4040")).toEqual({
      windows: [],
      widths: ["CLK high", "CLK low", "CLR high"],
      recoveries: ["CLR fall to CLK fall"],
      clocks: ["CLK fall"],
    });
  });

  it("a static RAM's strobes have widths; gates ask for nothing", () => {
    expect(requirements("32Kx8").widths).toEqual(["CE# low", "WE# low"]);
    expect(requirements("8Kx8").widths).toEqual(["CE1# low", "CE2 high", "WE# low"]);
    expect(requirements("00")).toEqual({ windows: [], widths: [], recoveries: [], clocks: [] });
  });

  it("a window names the bits that read the pin", () => {
    const behaviour = behaviourOf("163");
    const windows = behaviour ? requirementsOf(behaviour).windows : [];
    expect(windows.find(({ pin }) => pin === "B")?.storage).toEqual(["qB"]);
    expect(windows.find(({ pin }) => pin === "ENT")?.storage).toEqual(["qA", "qB", "qC", "qD"]);
  });
});
