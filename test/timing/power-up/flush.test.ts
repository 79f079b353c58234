import { describe, expect, test } from "vitest";
import { powerUp } from "../../../src/timing/power-up/power-up.js";
import { type CircuitText, buildCircuit, chipOf, gate, known, oscillator } from "../../support/build-circuit.js";

const quick = { delay: [2, 5, 20] } as const;
const pair = known("74", quick);
const register = known("175", quick);
const set = "1PRE#=high 1CLR#=high";

/** Signals without any least times in common, more than are followed state by state. */
const many = Array.from({ length: 6 }, (_, n) => `S${n}`);
const inputs: NonNullable<CircuitText["inputs"]> = Object.fromEntries(
  many.map((net) => [net, { anyTime: { high: 4000, low: 4000, repeat: 10_000 } }] as const),
);
const request = {
  U1: [gate(many.join(" "), many.join(" & "), 5), `${many.map((net) => `${net}=${net}`).join(" ")} Y=ASKED`],
  U2: [pair, `1CLK=ASKED 1D=R0# 1Q=R0 1Q#=R0# ${set}`],
  U9: [known("244", quick), "1OE#=GO 1A1=low 1Y1=OUT"],
} as const;

function poweredUp(chips: CircuitText["chips"]) {
  const circuit = buildCircuit({ chips: { X1: [oscillator(100), "OUT=CK"], ...request, ...chips }, inputs });
  return powerUp(circuit, chipOf(circuit, "X1"));
}

describe("control that follows many signals from outside", () => {
  test("has nothing left of its start state once each stage behind the request has been clocked", () => {
    const { bits, obstacles, ticks } = poweredUp({
      U3: [register, "CLK=CK CLR#=high 1D=R0 1Q=R1 2D=R1 2Q=R2 3D=R2 3Q=R3 4D=low"],
      U4: [gate("A B", "A ^ B", 5), "A=R2 B=R3 Y=GO"],
    });
    expect({ bits, obstacles, ticks }).toEqual({ bits: 4, obstacles: [], ticks: 3 });
  });

  test("sampled every other clock takes twice as long", () => {
    const { ticks } = poweredUp({
      U5: [pair, `1CLK=CK 1D=HALF# 1Q=HALF 1Q#=HALF# ${set}`],
      U3: [register, "CLK=HALF CLR#=high 1D=R0 1Q=R1 2D=R1 2Q=R2 3D=low 4D=low"],
      U4: [gate("A B", "A ^ B", 5), "A=R1 B=R2 Y=GO"],
    });
    expect(ticks).toBe(4);
  });

  test("that may keep what it held is not followed", () => {
    const { obstacles, bitsNotFollowed } = poweredUp({
      U3: [pair, `1CLK=CK 1D=MORE 1Q=GO ${set}`],
      U4: [gate("A B", "A | B", 5), "A=R0 B=GO Y=MORE"],
    });
    expect(obstacles.map(({ obstacle }) => obstacle.kind)).toEqual(["not followed"]);
    expect(bitsNotFollowed).toBe(2);
  });

  test("that takes over in every other clock, and keeps what it has in the others, has forgotten it after both", () => {
    const { obstacles, ticks } = poweredUp({
      U5: [pair, `1CLK=CK 1D=HALF# 1Q=HALF 1Q#=HALF# ${set}`],
      U6: [pair, `1CLK=CK 1D=NEXT 1Q=GO ${set}`],
      U7: [gate("A B", "!(A & B)", 5), "A=R0 B=HALF Y=TAKEN#"],
      U8: [gate("A B", "!(A & B)", 5), "A=GO B=HALF# Y=KEPT#"],
      U3: [gate("A B", "!(A & B)", 5), "A=TAKEN# B=KEPT# Y=NEXT"],
    });
    expect({ obstacles, ticks }).toEqual({ obstacles: [], ticks: 2 });
  });
});
