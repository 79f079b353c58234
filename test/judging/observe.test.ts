import { describe, expect, test } from "vitest";
import { observe, silentProgress } from "../../src/judging/index.js";
import { prove } from "../../src/timing/index.js";
import { type CircuitText, buildCircuit, oscillator, netOf } from "../support/build-circuit.js";

async function observed(text: CircuitText) {
  const circuit = buildCircuit(text);
  return { circuit, ...(await observe(circuit, prove(circuit), silentProgress)) };
}

const divider: CircuitText = {
  chips: {
    X1: [oscillator(200), "OUT=CLK"],
    U1: ["74HC74", "1CLK=CLK 1D=Q# 1Q=Q 1Q#=Q# 1PRE#=high 1CLR#=high"],
  },
};

describe("what the electrical rules are told", () => {
  test("is how often each net changes", async () => {
    const { circuit, edgesPerSecond } = await observed(divider);
    expect(edgesPerSecond?.get(netOf(circuit, "CLK").id)).toBeCloseTo(1e7, -5);
    expect(edgesPerSecond?.get(netOf(circuit, "Q").id)).toBeCloseTo(5e6, -5);
  });

  // CTA-861: VIC 8 has 262 lines at 15.734 kHz, VIC 23 has 312 at 15.625 kHz; VESA DMT 640x480 is no television raster.
  test.each([
    ["vic-8", "525"],
    ["vic-6", "525"],
    ["vic-23", "625"],
    ["vic-21", "625"],
    ["640x480@60", undefined],
  ])("is the system of television that the raster %s belongs to: %s", async (raster, system) => {
    expect((await observed({ ...divider, raster })).compositeSystem).toBe(system);
  });

  test("is one fight for two outputs, however often the proof looks at it, and not more of them than turns", async () => {
    // Two buffers take turns at a net by Q and Q#, which change together: while one lets go the other takes.
    const { circuit, fights = [] } = await observed({
      chips: { ...divider.chips, U2: ["74HC125", "1OE#=Q 1A=low 1Y=BUS 2OE#=Q# 2A=high 2Y=BUS"] },
    });
    expect(fights).toHaveLength(1);
    const [fight] = fights;
    expect(fight?.net).toBe(netOf(circuit, "BUS").id);
    expect(fight?.longest).toBeGreaterThan(1e-9);
    expect(fight?.longest).toBeLessThan(100e-9);
    expect(fight?.perSecond).toBeLessThanOrEqual(5.1e6);
  });
});
