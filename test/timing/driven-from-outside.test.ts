import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";

describe("a net that something outside drives", () => {
  const about = (enable: string) =>
    prove(
      buildCircuit({
        chips: {
          X1: [oscillator(100), "OUT=CK"],
          U1: ["74HC125", `1OE#=${enable} 1A=low 1Y=D`],
          U2: ["74HC74", "1CLK=CK 1D=D 1PRE#=high 1CLR#=high 1Q=SEEN"],
        },
        inputs: { D: { after: ["CK", "rise"], from: 30, to: 60 } },
      }),
    ).verdicts.filter(({ net }) => net === "D");

  test("is judged as if a buffer on it that is switched off for good were not there", () => {
    const found = about("high").map(({ name, state }) => ({ name, state }));
    expect(found).toContainEqual({ name: "set-up U2 1D", state: "holds" });
    expect(found.every(({ state }) => state === "holds")).toBe(true);
  });

  test("is not covered where a chip drives it as well", () => {
    const found = about("CK").find(({ rule }) => rule === "driven from outside");
    expect(found).toMatchObject({ name: "driven from outside D", state: "not covered" });
    expect(found?.note).toContain("U1");
  });
});
