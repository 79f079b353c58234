import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Chip, Circuit } from "../../src/circuit/index.js";
import { applyEdits } from "../../src/planning/index.js";
import { nearerSources } from "../../src/planning/repair/nearer-source.js";
import { otherFlipFlops } from "../../src/planning/repair/other-flip-flops.js";
import { splitGates } from "../../src/planning/repair/split-gates.js";
import type { StandIn } from "../../src/planning/repair/stand-in.js";
import { fs } from "../../src/quantity/index.js";
import { powerUpBoard } from "../../src/simulation/index.js";
import { circuitIn } from "./repaired.js";

const gong = readFileSync(new URL("gong.circuit.yaml", import.meta.url), "utf8");

/** A ring of flip-flops and what a builder wrote beside them; two inverters pass its clock on, and a gate decodes it. */
const ring = `dotwright: 1
title: Ring of a tide gauge
supply: 5 V ± 5 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60

inputs:
  RESET#: { power-up only: low, at least: 1 ms, levels: CMOS }

chips:
  X1: { part: OSC-4MHz, note: oscillator, pins: { OUT: OSC } }
  U1:
    part: 74HC04
    note: clock
    pins:
      1A: OSC
      1Y: CK#
      2A: CK#
      2Y: CK
      3A, 4A, 5A, 6A: low
      3Y, 4Y, 5Y, 6Y: open
  # The ring itself.
  U2:
    part: 74HC175
    note: ring # of four
    pins:
      CLK: CK
      CLR#: RESET#
      1D: T3#
      # first tap
      1Q: T0 # rises first
      1Q#: open
      2D: T0
      2Q: T1
      2Q#: T1#
      3D: T1 # third
      3Q: T2
      3Q#: open
      4D: T2
      4Q: T3
      4Q#: T3#
  U3:
    part: 74HC10
    note: decoder
    pins:
      1A: T0
      1B: T1
      1C: T2
      1Y: FULL#
      2A, 2B, 2C, 3A, 3B, 3C: low
      2Y, 3Y: open
  U4:
    part: 74HC175
    note: shows it
    pins:
      CLK: CK
      CLR#: high
      1D: FULL#
      1Q: SHOWN
      1Q#: open
      2D, 3D, 4D: low
      2Q, 2Q#, 3Q, 3Q#, 4Q, 4Q#: open
`;

/** What each net that the circuit before has was at, at the end of each of some clock periods, on the typical board. */
function levels(circuit: Circuit, names: readonly string[], periods: number): readonly string[] {
  const { simulator, released } = powerUpBoard(circuit, { seed: 5 });
  const period = Math.min(
    ...circuit.chips.flatMap(({ part }) => (part.oscillation ? [part.oscillation.period.max] : [])),
  );
  // Shortly before each rise of the oscillator, which rises at whole periods.
  const first = Math.ceil(released / period) + 2;
  return Array.from({ length: periods }, (_, index) => {
    simulator.run(fs(Math.round((first + index - 0.05) * period)));
    return names
      .map((name) => {
        const net = circuit.nets.find((one) => one.name === name);
        return net ? simulator.valueOf(net.id) : "gone";
      })
      .join("");
  });
}

function chipIn(circuit: Circuit, ref: string): Chip {
  const chip = circuit.chips.find((one) => one.ref === ref);
  if (!chip) throw new Error(`no ${ref}`);
  return chip;
}

function made(text: string, standIns: readonly StandIn[], key: RegExp): string {
  const found = standIns.find((one) => key.test(one.key));
  const edited = found && applyEdits(text, found.change.edits);
  if (edited === undefined) throw new Error(`no ${key} among ${standIns.map((one) => one.key).join(", ")}`);
  return edited;
}

describe("what stands in a chip's place", () => {
  const circuit = circuitIn(ring);

  test("two 74s for a 175 take over the wires and the words beside them, and all else stays", () => {
    const edited = made(ring, otherFlipFlops(circuit, chipIn(circuit, "U2")), /^74AC74$/);
    expect(edited).toContain(`  # The ring itself.
  U2:
    part: 74AC74
    note: ring # of four
    pins:
      1CLK: CK
      1CLR#: RESET#
      1PRE#: high
      1D: T3#
      # first tap
      1Q: T0 # rises first
      1Q#: open
      2CLK: CK
      2CLR#: RESET#
      2PRE#: high
      2D: T0
      2Q: T1
      2Q#: T1#
  U5:
    part: 74AC74
    note: ring, more of it
    pins:
      1CLK: CK
      1CLR#: RESET#
      1PRE#: high
      1D: T1 # third
      1Q: T2
      1Q#: open
      2CLK: CK
      2CLR#: RESET#
      2PRE#: high
      2D: T2
      2Q: T3
      2Q#: T3#
  U3:
`);
    const [before, after] = [ring, edited].map((text) => text.replace(/ {2}U2:[^]*? {2}U3:/, ""));
    expect(after).toBe(before);
  });

  test("a 174 takes the place of a 175 with inverters for the inverted outputs that somebody reads, free ones first", () => {
    const found = (ref: string) => otherFlipFlops(circuit, chipIn(circuit, ref));
    expect(found("U4").map(({ key }) => key)).toContain("74AC174");
    expect(found("U2").map(({ key }) => key)).not.toContain("74AC174");
    const own = found("U2").filter(({ key }) => key.startsWith("74AC174 with"));
    // The quickest for TTL and for CMOS levels; the free ones are 74HC04.
    expect(own.map(({ key, change }) => [key, change.chips])).toEqual([
      ["74AC174 with 74F04", 1],
      ["74AC174 with 74AC04", 1],
    ]);
    const quick = circuitIn(ring.replace("part: 74HC04", "part: 74AC04"));
    const reused = otherFlipFlops(quick, chipIn(quick, "U2")).find(({ key }) => key === "74AC174 with 74AC04");
    expect(reused?.change.chips).toBe(0);
    expect(reused?.change.what).toBe("U2: 74AC174 with 74AC04 (U1) in place of U2's 74HC175");
  });

  test.each([
    ["U2", otherFlipFlops],
    ["U4", otherFlipFlops],
    ["U3", splitGates],
    ["U1", nearerSources],
  ] as const)("for %s do on the ring what was there", (ref, standIns) => {
    const names = circuit.nets.filter(({ rail, name }) => !rail && !/CK|OSC/.test(name)).map(({ name }) => name);
    const before = levels(circuit, names, 40);
    expect(new Set(before).size).toBeGreaterThan(5);
    const found = standIns(circuit, chipIn(circuit, ref));
    expect(found.length).toBeGreaterThan(0);
    for (const { change } of found) {
      const edited = applyEdits(ring, change.edits);
      expect({ what: change.what, levels: levels(circuitIn(edited ?? ""), names, 40) }).toEqual({
        what: change.what,
        levels: before,
      });
    }
  });

  test("do on a board of nine chips what was there, whatever flip-flops it is made of", () => {
    const whole = circuitIn(gong);
    const names = whole.nets.filter(({ rail, drivers }) => !rail && drivers.length === 1).map(({ name }) => name);
    // What flip-flops hold at power-up is chance, and runs out within two turns of the ring.
    const after = (one: Circuit) => levels(one, names, 60).slice(20);
    const before = after(whole);
    for (const { chip, key } of whole.chips.flatMap((chip) =>
      otherFlipFlops(whole, chip).map(({ key }) => ({ chip, key })),
    )) {
      if (!key.startsWith("74ACT")) continue;
      const edited = made(gong, otherFlipFlops(whole, chip), new RegExp(`^${key}$`));
      expect({ key, after: after(circuitIn(edited)) }).toEqual({ key, after: before });
    }
  });
});
