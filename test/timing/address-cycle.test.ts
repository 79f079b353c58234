import { describe, expect, test } from "vitest";
import { inNs, ns } from "../../src/quantity/index.js";
import { prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, gate, known, oscillator } from "../support/build-circuit.js";

/** 5 to 20 ns from the clock, so two changes of an output are at least 15 ns nearer to each other than their clocks. */
const register: GivenFigures = { delay: [5, 20], setUp: 5, hold: 0, width: 10, recovery: 10, period: 30 };
const memory: GivenFigures = {
  delay: [5, 60],
  memory: { tRC: 70, tWC: 90, tAS: 0, tAW: 50, tCW: 50, tWP: 40, tWR: 0, tDW: 30, tDH: 0 },
};

/**
 * EARLY is high for two clocks of 200 ns and low for two, LATER the same a clock later, and A0 changes as EARLY falls; WE# is
 * low in the last quarter, while both are low. The memory's enables are at these nets.
 */
function board(enables: string, address = "A0") {
  return buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: [
        known("175", register),
        "CLK=CK CLR#=high 1D=LATER# 2D=EARLY 1Q=EARLY 2Q=LATER 1Q#=EARLY# 2Q#=LATER# 3D..4D=low",
      ],
      U2: [gate("A B", "!(A & B)", [1, 5]), "A=EARLY# B=LATER# Y=WE#"],
      U3: [known("175", register), "CLK=EARLY# CLR#=high 1D=A0# 1Q=A0 1Q#=A0# 2D..4D=low"],
      U4: [known("32Kx8", memory), `A0=${address} A1..A14=low IO0=D0 ${enables}`],
    },
  });
}

/** What the proof says of A0's cycles: symbol, state and margin in ns. */
function cyclesOf(enables: string) {
  return prove(board(enables)).verdicts.flatMap(({ rule, symbol, pin, state, margin }) =>
    rule === "memory cycle" ? [{ symbol, pin, state, margin: margin === undefined ? margin : inNs(margin) }] : [],
  );
}

/** A0 changes at every fourth clock of 200 ns, so it stands for 785 ns. */
describe("an address stands for a whole cycle of the memory", () => {
  test("for a read cycle where the memory shows what it reads", () => {
    expect(cyclesOf("CE#=low OE#=low WE#=high")).toEqual([{ symbol: "tRC", pin: "A0", state: "holds", margin: 715 }]);
  });

  test("for none where the memory shows nothing while it changes, and is not written", () => {
    expect(cyclesOf("CE#=low OE#=high WE#=high")).toEqual([]);
    expect(cyclesOf("CE#=low OE#=EARLY# WE#=high")).toEqual([]);
  });

  test("for a write cycle where a write has ended since it changed last", () => {
    expect(cyclesOf("CE#=low OE#=high WE#=WE#")).toEqual([{ symbol: "tWC", pin: "A0", state: "holds", margin: 695 }]);
  });

  test("for none of a write that has only begun", () => {
    // A write that lasts from before the address changes to after it, once in every four clocks; each ends before the next.
    const circuit = board("CE#=low OE#=high WE#=LATER#");
    const proof = prove(circuit);
    const [cycle] = proof.verdicts.filter(({ rule }) => rule === "memory cycle");
    expect(cycle?.symbol).toBe("tWC");
    expect(cycle?.count).toBeLessThanOrEqual((proof.leadTicks + proof.cycleTicks) / 4 + 1);
  });

  // LATER rises a clock after each write has ended, and falls a clock before the next begins.
  test("for a write cycle once after each write, however often it changes", () => {
    const proof = prove(board("CE#=low OE#=high WE#=WE#", "LATER"));
    const [cycle] = proof.verdicts.filter(({ rule }) => rule === "memory cycle");
    expect(cycle).toMatchObject({ symbol: "tWC", margin: ns(2 * 200 - 15 - 90) });
    expect(cycle?.count).toBeLessThanOrEqual((proof.leadTicks + proof.cycleTicks) / 4 + 1);
  });

  // EARLY falls while LATER is high and the memory is written, and rises a clock after that write has ended.
  test("for a write cycle only where a write has ended, not where one goes on", () => {
    const proof = prove(board("CE#=low OE#=high WE#=LATER#", "EARLY"));
    const [cycle] = proof.verdicts.filter(({ rule }) => rule === "memory cycle");
    expect(cycle?.symbol).toBe("tWC");
    expect(cycle?.count).toBeLessThanOrEqual((proof.leadTicks + proof.cycleTicks) / 4 + 1);
  });

  const KEY = { anyTime: { high: 4000, low: 4000, repeat: 8000 } } as const;

  test("for a read cycle by the least times of a signal that changes it at any time", () => {
    expect(mixed("KEY", "low")).toEqual([["tRC U4 A0", 4000 - 15 - 70]]);
  });

  test("for none that can be told where two signals that know nothing of each other change it", () => {
    expect(mixed("KEY", "LEVER")).toEqual([]);
    // It is not captured either, so no synchroniser is asked for.
    expect(mixed("KEY", "HALF").map(([name]) => name)).not.toContain("synchroniser U4 A0");
  });

  /** Names and margins in ns of what is judged of a memory that is read at an address that two signals change. */
  function mixed(one: string, other: string) {
    const circuit = buildCircuit({
      chips: {
        X1: [oscillator(1000), "OUT=CK"],
        U1: [known("175", register), "CLK=CK CLR#=high 1D=HALF# 1Q=HALF 1Q#=HALF# 2D..4D=low"],
        U2: [gate("A B", "A ^ B", [5, 20]), `A=${one} B=${other} Y=MIXED`],
        U4: [known("32Kx8", memory), "A0=MIXED A1..A14=low IO0=D0 CE#=low OE#=low WE#=high"],
      },
      inputs: { KEY, LEVER: KEY },
    });
    return prove(circuit).verdicts.flatMap(({ name, chip, rule, margin }) =>
      chip === "U4" && rule !== "settling" ? [[name, margin === undefined ? margin : inNs(margin)]] : [],
    );
  }
});
