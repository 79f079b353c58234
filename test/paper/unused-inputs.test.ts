import { expect, test } from "vitest";
import { unusedInputs } from "../../src/paper/unused-inputs.js";
import { boardFrom, harbourLamp } from "./board-fixture.js";

function unusedOn(ref: string, text = harbourLamp): string[] {
  const chip = boardFrom(text).chips.find((found) => found.ref === ref);
  return chip ? [...unusedInputs(chip)].sort() : ["no such chip"];
}

test("inputs of gates whose outputs are open are unused", () => {
  expect(unusedOn("U4")).toEqual(["3A", "3B", "4A", "4B"]);
});

test("an enable is unused when all outputs that it enables are open", () => {
  expect(unusedOn("U3")).toContain("2OE#");
  expect(unusedOn("U3")).not.toContain("1OE#");
});

test("a counter with one output on a net uses its clock, clear and load", () => {
  const oneBit = harbourLamp.replace('"Q[A..D]": "DIV[0..3]"', '"QA, QB": open, QC: DIV2, QD: DIV3');
  expect(unusedOn("U1", oneBit)).toEqual([]);
});

test("half of a double flip-flop is unused when its outputs are open", () => {
  const half = harbourLamp.replace("2Q: VSYNC,", "2Q: open,").replace("vsync: VSYNC", "vsync: HSYNC");
  expect(unusedOn("U5", half)).toEqual(["2CLK", "2CLR#", "2D", "2PRE#"]);
});
