import { describe, expect, test } from "vitest";
import { decouplingAdvice, decouplingVerdicts } from "../../src/electrical/decoupling-rule.js";
import { decoupling } from "../../src/electrical/decoupling.js";
import { boardFrom, harbourLamp } from "../paper/board-fixture.js";

test("a capacitor stands at the chip that its note names, the others at the remaining chips in order", () => {
  const { atChip, bulk } = decoupling(boardFrom(harbourLamp));
  expect([...atChip].map(([chip, { ref, value }]) => [chip, ref, value])).toEqual([
    ["U3", "C2", "100 nF"],
    ["X1", "C1", "100 nF"],
    // Advised: Texas Instruments SDYA011 (October 1996), 100 nF ceramic close to each circuit.
    ["U1", undefined, "100 nF"],
    ["U2", undefined, "100 nF"],
    ["U4", undefined, "100 nF"],
    ["U5", undefined, "100 nF"],
  ]);
  expect(bulk.map(({ ref }) => ref)).toEqual(["C9"]);
});

test("a board without a large capacitor is advised to have one", () => {
  const { bulk } = decoupling(boardFrom(harbourLamp.replace(/ {2}C9: .*\n/, "")));
  expect(bulk).toEqual([{ value: "47 µF", farads: 47e-6 }]);
});

const states = (text: string) =>
  Object.fromEntries(decouplingVerdicts(boardFrom(text)).map(({ name, state }) => [name, state]));
/** A capacitor more, in front of the first. */
const withCapacitors = (...lines: readonly string[]) =>
  harbourLamp.replace("  C1:", `${lines.map((line) => `  ${line}\n`).join("")}  C1:`);
const atTheRest = ["X1", "U2", "U4", "U5"].map(
  (ref, index) => `C2${index}: {value: 100 nF, between: [high, low], note: at ${ref}}`,
);

describe("decoupling", () => {
  // Texas Instruments SZZA009: 0.1 or 0.01 µF at the chip. The board lists two capacitors for six chips.
  test("fails at each chip for which the file that lists capacitors lists none", () => {
    expect(states(harbourLamp)).toEqual({
      "decoupling X1": "holds",
      "decoupling U3": "holds",
      "decoupling U1": "fails",
      "decoupling U2": "fails",
      "decoupling U4": "fails",
      "decoupling U5": "fails",
      "bulk capacitor main": "holds",
    });
  });

  test("holds with a capacitor for every chip", () => {
    expect(Object.values(states(withCapacitors(...atTheRest)))).toEqual(Array(7).fill("holds"));
  });

  test("fails with a capacitor of 1 nF, smaller than any guidance names", () => {
    const small = withCapacitors(...atTheRest).replace("C1: {value: 100 nF", "C1: {value: 1 nF");
    const failing = decouplingVerdicts(boardFrom(small)).filter(({ state }) => state === "fails");
    expect(failing.map(({ name, margin }) => [name, margin])).toEqual([["decoupling U1", -9_000_000]]);
  });

  test("asks for a large capacitor where the supply comes in", () => {
    expect(states(harbourLamp.replace("C9: {value: 47 uF", "C9: {value: 1 uF"))["bulk capacitor main"]).toBe("fails");
    expect(states(harbourLamp.replace(/ {2}C9: .*\n/, ""))["bulk capacitor main"]).toBe("fails");
  });

  test("is advice and no verdict where the file lists no capacitor between rails", () => {
    const none = harbourLamp.replaceAll(/ {2}C[129]: .*\n/g, "");
    expect(states(none)).toEqual({});
    const [advice] = decouplingAdvice(boardFrom(none));
    expect(advice?.text).toContain("each of the 6 chips");
    expect(decouplingAdvice(boardFrom(harbourLamp))).toEqual([]);
  });

  test("does not count a capacitor across one supply for a chip on another", () => {
    const two = withCapacitors(...atTheRest)
      .replace("supply: 5 V ± 10 %", "supply: {main: 5 V ± 10 %, 3V3: 3.3 V ± 5 %}")
      .replace("pins: {CLK: OSC, CLR#: RESET#", "pins: {VCC: 3V3, CLK: OSC, CLR#: RESET#");
    expect(states(two)["decoupling U1"]).toBe("fails");
    expect(states(two)["bulk capacitor 3V3"]).toBe("fails");
    const own = two.replace(
      "  C1: {value: 100 nF, between: [high, low]}",
      "  C1: {value: 100 nF, between: [3V3, low]}",
    );
    expect(states(own)["decoupling U1"]).toBe("holds");
  });
});
