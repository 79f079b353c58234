import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { ANY_TIME, buildCircuit, oscillator } from "../support/build-circuit.js";

/** Common practice: one bit through a synchroniser; a number is taken over at once, when that bit says that it stands. */
describe("bits that one signal from outside moves", () => {
  const asynchronous = (senders: string, synchronisers: string) =>
    prove(
      buildCircuit({
        inputs: { SEND: ANY_TIME },
        chips: {
          X1: [oscillator(200), "OUT=CK"],
          U1: ["74HC175", `CLK=SEND CLR#=high ${senders}`],
          U2: ["74HC174", `CLK=CK CLR#=high ${synchronisers}`],
        },
      }),
    ).verdicts.filter(({ rule }) => rule === "asynchronous signal");

  test("one bit crosses through two flip-flops in a row", () => {
    const found = asynchronous("1D=N0 1Q#=N0 1Q=B0 2D..4D=low", "1D=B0 1Q=S0 2D=S0 2Q=T0 3D..6D=low");
    expect(found.map(({ name, state }) => ({ name, state }))).toEqual([{ name: "synchroniser U2 1D", state: "holds" }]);
  });

  test("two bits, each through a synchroniser of its own, may arrive a clock apart", () => {
    const found = asynchronous(
      "1D=N0 1Q#=N0 1Q=B0 2D=N1 2Q#=N1 2Q=B1 3D..4D=low",
      "1D=B0 1Q=S0 2D=S0 2Q=T0 3D=B1 3Q=S1 4D=S1 4Q=T1 5D..6D=low",
    );
    expect(found.map(({ name, state }) => ({ name, state }))).toEqual([
      { name: "synchroniser U2 1D", state: "fails" },
      { name: "synchroniser U2 3D", state: "fails" },
    ]);
    expect(found[0]?.note).toMatch(/U2 3D/);
  });
});
