import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { findPart } from "../../src/parts/index.js";
import { DEFAULT_WISHES, designOf, obstaclesToWriting, searchPlans, writeCircuit } from "../../src/planning/index.js";
import type { Sharing } from "../../src/planning/design.js";
import { hertz, publishedRasters } from "../../src/raster/index.js";
import { powerUpMachine } from "../../src/simulation/compiled/index.js";
import { noise } from "../support/written-plan.js";

const few = {
  ...DEFAULT_WISHES,
  rasters: publishedRasters.filter(({ id }) => ["cvt-320x240@60", "dmt-0x04"].includes(id)),
  oscillators: [12, 12.5875, 25.175].map((megahertz) => hertz(megahertz * 1e6)),
  bitsPerDot: [1],
};

/** Each has levels of its own for every flip-flop. */
const POWER_UPS = [1, 2, 3, 4, 5, 6];

/** Two lines: a request that waits for blanking has come through. */
const TWO_LINES_FS = 1e11;

/** The power-ups of these that leave something else in a memory, two lines after the reset, than was loaded as that was let go. */
function writingUnasked(text: string): readonly number[] {
  const { circuit } = readCircuit(text, "try.circuit.yaml", { findPart });
  if (!circuit) throw new Error("the circuit has mistakes");
  const memories = circuit.chips.filter(({ part }) => part.behaviour.memory);
  return POWER_UPS.filter((seed) => {
    const { machine } = powerUpMachine(circuit, { seed });
    const loaded = memories.map((chip) => {
      const bytes = noise(machine.contentsOf(chip).length);
      machine.load(chip, bytes);
      return { chip, bytes };
    });
    machine.run(machine.now + TWO_LINES_FS);
    return loaded.some(({ chip, bytes }) => machine.contentsOf(chip).some((byte, address) => byte !== bytes[address]));
  });
}

/** The circuit file of a plan from the middle of its front. */
function textOf(sharing: Sharing["kind"], family: "HC" | "fast"): string {
  const { front } = searchPlans({ ...few, sharing: [sharing], families: [family] });
  const writable = front.filter((plan) => obstaclesToWriting(plan).length === 0);
  const plan = writable[Math.floor(writable.length / 2)];
  const design = plan && designOf(plan);
  if (!design || "notYet" in design) throw new Error("no plan can be written");
  return writeCircuit(design, { title: "Try", about: "A try." });
}

describe("a written board whose flip-flops come up in any state", () => {
  test.each([
    ["write latch", "HC"],
    ["blanking only", "fast"],
    ["two banks", "fast"],
  ] as const)("writes nothing after its reset before the processor asks: %s, %s", (sharing, family) => {
    expect(writingUnasked(textOf(sharing, family))).toEqual([]);
  });

  test("writes a byte unasked at some power-ups where the reset does not reach the request", () => {
    const text = textOf("write latch", "HC");
    const without = text.replace("1CLR#: RESET#", "1CLR#: high");
    expect(without).not.toBe(text);
    const writing = writingUnasked(without);
    expect(writing.length).toBeGreaterThan(0);
    expect(writing.length).toBeLessThan(POWER_UPS.length);
  });
});
