import { describe, expect, test } from "vitest";
import { prove } from "../../src/timing/index.js";
import { buildCircuit, oscillator } from "../support/build-circuit.js";

/** SN74HC595 data sheet, SCLS041: "SRCLK before RCLK" is a set-up time of its own; clocks tied together need none. */
describe("a 595's output register takes over what the shift register held a set-up time before", () => {
  const verdict = (rclk: string) => {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        U1: ["74HC04", "1A=CK 1Y=HALF 2A=HALF 2Y=SOON 3A..6A=low"],
        U2: ["74HC595", `SER=DATA SRCLK=CK SRCLR#=high RCLK=${rclk} OE#=low QH'=DATA`],
      },
    });
    return prove(circuit).verdicts.find(({ rule, pin }) => rule === "set-up" && pin === "SRCLK");
  };

  test("half a period between the clocks is enough", () => {
    const found = verdict("HALF");
    expect(found).toMatchObject({ state: "holds", chip: "U2", reference: "RCLK" });
    expect(found?.margin).toBeGreaterThan(0);
  });

  test("two gates between them are too few", () => {
    const found = verdict("SOON");
    expect(found).toMatchObject({ state: "fails", chip: "U2", reference: "RCLK" });
    expect(found?.available).toBeLessThan(found?.required ?? 0);
  });

  test("one clock for both asks for nothing", () => {
    expect(verdict("CK")).toBeUndefined();
  });
});
