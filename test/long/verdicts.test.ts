import { beforeAll, describe, expect, test } from "vitest";
import { inNs } from "../../src/quantity/index.js";
import { underLoad } from "../../src/electrical/index.js";
import { type Proof, prove, summary } from "../../src/timing/index.js";
import { openBoard } from "../examples/board.js";
import { verdictOf } from "../timing/verdict-fixture.js";

/** What the proof says of the bundled boards under the load of their nets: two hold, and two fail as their files say. */

const failing = ({ verdicts }: Proof) => verdicts.filter(({ state }) => state === "fails");
/** Margin in nanoseconds. */
function marginOf(proof: Proof, name: string): number {
  const { margin } = verdictOf(proof, name);
  if (margin === undefined) throw new Error(`${name} has no margin`);
  return inNs(margin);
}
/** The chips on the way to both ends of a verdict, each once. */
function chipsOf(proof: Proof, name: string): readonly string[] {
  const { chains } = verdictOf(proof, name);
  return [...new Set([...(chains?.earlier ?? []), ...(chains?.later ?? [])].map(({ chip }) => chip))];
}
const bits = (head: string, count: number, tail = "") => Array.from({ length: count }, (_, n) => `${head}${n}${tail}`);

describe("the tide board", () => {
  const proof = lazily("tide-board");

  test("holds in every rule at every place, with less than 5 ns to spare", () => {
    expect(proof().verdicts.filter(({ state }) => state !== "holds")).toEqual([]);
    const { state, answer } = summary(proof());
    expect(state).toBe("holds");
    expect(answer).toMatch(/^Every slot fits: \d+ rules at 3\d\d places hold/);
    const margins = proof().verdicts.flatMap(({ margin }) => (margin === undefined ? [] : [inNs(margin)]));
    expect(Math.min(...margins)).toBeGreaterThan(0);
    expect(Math.min(...margins)).toBeLessThan(5);
  });

  test("reads and writes the memory in time", () => {
    for (const name of ["memory read U26 A", "tAW U25 A0", "tDW U25 IO0", "tWC U25 A0"]) {
      expect(marginOf(proof(), name)).toBeGreaterThan(0);
    }
  });

  test("comes back to its state after whole frames of 420,000 oscillator periods", () => {
    expect(proof().cycleTicks % 420_000).toBe(0);
  });
});

describe("the tide board with 640 dots and the chips of the 320-dot board", () => {
  const proof = lazily("tide-board-wide");

  test("does not read the memory in time, by 40 to 70 ns on each of eight bits", () => {
    for (const name of Array.from("ABCDEFGH", (pin) => `memory read U26 ${pin}`)) {
      expect(verdictOf(proof(), name).state).toBe("fails");
      expect(marginOf(proof(), name)).toBeLessThan(-40);
      expect(marginOf(proof(), name)).toBeGreaterThan(-70);
    }
  });

  test("is late by way of the ring, the display's buffer and the RAM to the shift register", () => {
    const chips = chipsOf(proof(), "memory read U26 A");
    expect(chips).toEqual(expect.arrayContaining(["U2", "U18", "U25", "U26"]));
    const { chains } = verdictOf(proof(), "memory read U26 A");
    const parts = chains?.earlier.flatMap(({ kind, part }) => (kind === "arc" ? [part] : []));
    expect(parts?.at(-1)).toBe("62256-70");
  });

  test("clocks the shift register faster than 74HCT166 goes", () => {
    expect(verdictOf(proof(), "clock period U26 CLK").state).toBe("fails");
    expect(marginOf(proof(), "clock period U26 CLK")).toBeLessThan(-5);
    for (const level of ["high", "low"]) expect(marginOf(proof(), `pulse width U26 CLK ${level}`)).toBeLessThan(0);
  });

  test("writes to an address that has not stood long enough, with data that have not, by a pulse that is too short", () => {
    for (const name of [...bits("tAW U25 A", 15), ...bits("tDW U25 IO", 8), "pulse width U25 WE# low"]) {
      expect(verdictOf(proof(), name).state).toBe("fails");
    }
    expect(marginOf(proof(), "tAW U25 A0")).toBeLessThan(-50);
    expect(marginOf(proof(), "tDW U25 IO0")).toBeLessThan(-20);
    expect(marginOf(proof(), "pulse width U25 WE# low")).toBeLessThan(-15);
  });
});

describe("the tide board with 640 dots and faster chips", () => {
  const proof = lazily("tide-board-wide-fast");

  test("holds in every rule at every place, though with its dots twice as many it has less than 5 ns to spare", () => {
    expect(proof().verdicts.filter(({ state }) => state !== "holds")).toEqual([]);
    const margins = proof().verdicts.flatMap(({ margin }) => (margin === undefined ? [] : [inNs(margin)]));
    expect(Math.min(...margins)).toBeGreaterThan(0);
    expect(Math.min(...margins)).toBeLessThan(5);
  });

  test("mends each place at which the slower chips fail", () => {
    for (const name of ["memory read U26 A", "clock period U26 CLK", "tAW U25 A0", "tDW U25 IO0"]) {
      expect(verdictOf(proof(), name).state).toBe("holds");
    }
  });
});

describe("the tide board with a serial loader", () => {
  const proof = lazily("tide-board-loader");

  test("changes the address and the data while it writes, since the processor's STORE heeds no memory cycle", () => {
    for (const name of [...bits("tAW U25 A", 15), ...bits("tDW U25 IO", 8)]) {
      expect(verdictOf(proof(), name).state).toBe("fails");
    }
    // The write takes two dots of 79 ns; what changes within it is late by more than that.
    expect(marginOf(proof(), "tAW U25 A0")).toBeLessThan(-100);
    expect(verdictOf(proof(), "synchroniser U25 A0")).toMatchObject({ state: "fails", rule: "asynchronous signal" });
    expect(chipsOf(proof(), "synchroniser U25 A0")).toContain("U20");
  });

  test("turns the data wires round between RAM and output registers with both driving, in both directions", () => {
    for (const name of [...bits("contention MD", 8, " U22/U25"), ...bits("contention MD", 8, " U25/U22")]) {
      expect(verdictOf(proof(), name).state).toBe("fails");
      expect(marginOf(proof(), name)).toBeLessThan(-30);
    }
    expect(chipsOf(proof(), "contention MD0 U22/U25")).toEqual(expect.arrayContaining(["U2", "U22", "U25"]));
  });

  test("hands the address wires over from counters' buffers to output registers with both driving, and back", () => {
    const registers = (bit: number) => (bit < 8 ? ["U18", "U20"] : ["U19", "U21"]);
    for (let bit = 0; bit < 15; bit++) {
      const [buffer, register] = registers(bit);
      for (const name of [`contention MA${bit} ${buffer}/${register}`, `contention MA${bit} ${register}/${buffer}`]) {
        expect(verdictOf(proof(), name).state).toBe("fails");
        expect(marginOf(proof(), name)).toBeLessThan(-30);
      }
    }
  });

  test("fails in nothing else: clocks, syncs and counters are those of the tide board", () => {
    const rules = new Set(failing(proof()).map(({ rule }) => rule));
    expect([...rules].sort()).toEqual(["asynchronous signal", "contention", "memory write"]);
  });
});

/** Proves a bundled board once, before the tests that ask for it. */
function lazily(name: string): () => Proof {
  let proof: Proof | undefined;
  beforeAll(() => {
    proof = prove(underLoad(openBoard(name)));
  }, 300_000);
  return () => {
    if (!proof) throw new Error(`${name} is not proved`);
    return proof;
  };
}
