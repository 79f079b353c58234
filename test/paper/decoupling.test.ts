import { expect, test } from "vitest";
import { decoupling } from "../../src/paper/decoupling.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";

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
  expect(bulk).toEqual([{ value: "47 µF" }]);
});
