import { expect, test } from "vitest";
import { findPart, isPartProblem } from "../../src/parts/index.js";
import { conditionsFor } from "../../src/planning/repair/gain.js";
import { inputLimits, inputsAdded } from "../../src/planning/repair/input-limits.js";
import { otherFlipFlops } from "../../src/planning/repair/other-flip-flops.js";
import { samePins } from "../../src/planning/repair/stand-in.js";
import { circuitIn } from "./repaired.js";

/** A can that clocks twelve flip-flops, each at a pin of its own. */
const text = `dotwright: 1
title: Twelve flip-flops on a can
supply: 5 V ± 5 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60
chips:
  X1: { part: OSC-4MHz, note: oscillator, pins: { OUT: OSC } }
${[1, 2, 3, 4, 5, 6]
  .map(
    (number) => `  U${number}:
    part: 74ACT74
    note: two of a chain
    pins:
      1CLK, 2CLK: OSC
      1PRE#, 1CLR#, 2PRE#, 2CLR#: high
      1D: T${2 * number - 2 || 12}
      1Q: T${2 * number - 1}
      2D: T${2 * number - 1}
      2Q: T${2 * number}
      1Q#, 2Q#: open
`,
  )
  .join("")}`;

// The sheet of the can allows ten inputs for TTL levels (MF Electronics crystal oscillators, HCMOS/TTL, 5 V).
test("a can bears ten inputs for TTL levels, and a stand-in takes what its clock inputs are more", () => {
  const circuit = circuitIn(text);
  const [limit, ...others] = inputLimits(circuit);
  expect(others).toEqual([]);
  expect(limit).toMatchObject({ net: { name: "OSC" }, most: 10, count: 12 });
  const [chip] = circuit.chips.filter(({ ref }) => ref === "U1");
  if (!limit || !chip) throw new Error("no limit");
  const partOf = (number: string) => {
    const part = findPart(number, conditionsFor(circuit, chip));
    return isPartProblem(part) ? undefined : part;
  };
  const added = new Map(
    [...samePins(circuit, chip), ...otherFlipFlops(circuit, chip)].map(({ key, change }) => [
      key,
      inputsAdded(circuit, limit, change.edits, partOf),
    ]),
  );
  expect(added.get("74AHCT74")).toBe(0);
  expect(added.get("74ACT174")).toBe(-1);
  // For CMOS levels the sheet counts picofarads instead: each such input as all that it bears.
  expect(added.get("74AC74")).toBe(2 * 10 - 2);
  expect(added.get("74AC174")).toBe(10 - 2);
});
