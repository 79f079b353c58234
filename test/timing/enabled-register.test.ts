import { expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";

/**
 * Eight flip-flops in a ring with a twist turn a phase over every eight clocks of 150 ns: while it is low a register drives
 * the bus, while it is high a buffer does. The register shows something else whenever something outside says so.
 */
function bus(load: string) {
  return prove(
    buildCircuit({
      chips: {
        X1: [oscillator(150), "OUT=CK"],
        U1: ["74HC175", "CLK=CK CLR#=high 1D=LAST# 1Q=PHASE 1Q#=PHASE# 2D=PHASE 2Q=R2 3D=R2 3Q=R3 4D=R3 4Q=R4"],
        U2: ["74HC175", "CLK=CK CLR#=high 1D=R4 1Q=R5 2D=R5 2Q=R6 3D=R6 3Q=R7 4D=R7 4Q#=LAST#"],
        U3: ["74HC595", "SER=R7 SRCLK=SHIFT SRCLR#=high RCLK=STORE OE#=PHASE QA=BUS"],
        U4: ["74HC125", "1OE#=PHASE# 1A=R2 1Y=BUS 2OE#=high 2A=low 3OE#=high 3A=low 4OE#=high 4A=low"],
        U5: ["74HC166", `SH/LD#=${load} CLK=CK CLKINH=low CLR#=high SER=low A=BUS B..H=low QH=OUT`],
      },
      inputs: {
        SHIFT: { anyTime: { high: 600, low: 600, repeat: 1800 } },
        STORE: { after: ["SHIFT", "fall"], from: 50, to: 150 },
      },
    }),
  );
}

const sampled = (proof: ReturnType<typeof bus>) =>
  proof.verdicts.filter(({ rule, chip }) => rule === "asynchronous signal" && chip === "U5").map(({ name }) => name);

test("what a register shows at any time is not sampled at the edge at which it is only about to be enabled", () => {
  expect(sampled(bus("PHASE#"))).toEqual([]);
});

test("while the register is enabled it is", () => {
  expect(sampled(bus("PHASE"))).toEqual(["synchroniser U5 A"]);
});
