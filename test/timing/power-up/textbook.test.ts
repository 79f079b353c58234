import { describe, expect, test } from "vitest";
import { isMended, powerUp } from "../../../src/timing/power-up/power-up.js";
import { type CircuitText, buildCircuit, chipOf, gate, known, oscillator } from "../../support/build-circuit.js";

const quick = { delay: [2, 5, 20] } as const;
const counter = known("163", quick);
const register = known("175", quick);
const pair = known("74", quick);
const released = "1CLR#=high 1PRE#=high 2CLR#=high 2PRE#=high";

function poweredUp(chips: CircuitText["chips"], inputs: CircuitText["inputs"] = {}, picture?: CircuitText["picture"]) {
  const all = { X1: [oscillator(100), "OUT=CK"], ...chips } as const;
  const circuit = buildCircuit({ chips: all, inputs, ...(picture && { picture }) });
  return powerUp(circuit, chipOf(circuit, "X1"));
}

/** Lengths of all cycles of the only part that has more than one, in order. */
function cycles(chips: CircuitText["chips"]): readonly number[] {
  const { obstacles } = poweredUp(chips);
  return obstacles.flatMap(({ obstacle }) =>
    obstacle.kind === "other cycles"
      ? obstacle.start.graph.cycles.map(({ length }) => length).sort((a, b) => b - a)
      : [],
  );
}

/** A shift register of `length` flip-flops, Q0 first; what goes in is a gate of what the flip-flops hold. */
function shifter(length: number, feedback: string): CircuitText["chips"] {
  const stages = Array.from({ length: Math.ceil(length / 4) }, (_, chip) => {
    const pins = Array.from({ length: 4 }, (_, n) => {
      const bit = 4 * chip + n;
      if (bit >= length) return `${n + 1}D=low`;
      return `${n + 1}D=${bit === 0 ? "IN" : `Q${bit - 1}`} ${n + 1}Q=Q${bit}`;
    });
    return [`U${chip + 1}`, [register, `CLK=CK CLR#=high ${pins.join(" ")}`]] as const;
  });
  const read = [...new Set(feedback.match(/Q\d+/g) ?? [])];
  return {
    ...Object.fromEntries(stages),
    U9: [gate(read.join(" "), feedback, 5), `${read.map((name) => `${name}=${name}`).join(" ")} Y=IN`],
  };
}

describe("a twisted ring (Johnson counter)", () => {
  // 2n of the 2^n states of n flip-flops are used; the others run in cycles of their own (common practice: any textbook).
  test.each([
    [3, [6, 2]],
    [4, [8, 8]],
    [5, [10, 10, 10, 2]],
  ] as const)("of %i stages has these cycles", (length, lengths) => {
    expect(cycles(shifter(length, `!Q${length - 1}`))).toEqual(lengths);
  });

  test("corrects itself where the third stage takes (A | C) & B, within one turn", () => {
    // Mano, Digital Design, Johnson counter: D of C is (A + C) B instead of B; from memory.
    const { obstacles, ticks } = poweredUp({
      U1: [register, "CLK=CK CLR#=high 1D=E# 1Q=A 2D=A 2Q=B 3D=DC 3Q=C 4D=C 4Q=E 4Q#=E#"],
      U2: [gate("A B C", "(A | C) & B", 5), "A=A B=B C=C Y=DC"],
    });
    expect(obstacles).toEqual([]);
    expect(ticks).toBeLessThanOrEqual(8);
  });
});

describe("a ring counter", () => {
  // Rings of n beads in two colours: 6 of 4, 36 of 8 (OEIS A000031).
  test.each([
    [4, 6],
    [8, 36],
  ])("of %i stages has %i cycles", (length, number) => {
    expect(cycles(shifter(length, `Q${length - 1}`))).toHaveLength(number);
  });

  test("of 4 stages, fed by a NOR of the first three, comes into its ring of one from everywhere in at most 4 clocks", () => {
    // Wakerly, Digital Design Principles and Practices, self-correcting ring counter; from memory.
    const { obstacles, ticks, cycleTicks } = poweredUp(shifter(4, "!(Q0 | Q1 | Q2)"));
    expect(obstacles).toEqual([]);
    expect(cycleTicks).toBe(4);
    expect(ticks).toBeLessThanOrEqual(4);
  });
});

describe("a linear feedback shift register", () => {
  test("of 4 bits with taps 4 and 3 runs through 15 states and stays in the one of all zeros", () => {
    // Maximal length 2^n - 1 (Xilinx XAPP 052, table of taps; from memory).
    expect(cycles(shifter(4, "Q3 ^ Q2"))).toEqual([15, 1]);
  });

  test("started at zero would never leave it, so the proof is about that one state", () => {
    expect(poweredUp(shifter(4, "Q3 ^ Q2")).cycleTicks).toBe(1);
  });
});

describe("a counter that loads", () => {
  const loading = (load: string, decode: string) => ({
    U1: [counter, `CLK=CK CLR#=high LOAD#=L ENP=high ENT=high ${load} QA..QD=Q0..Q3`] as const,
    U2: [gate("A B C D", decode, 5), "A..D=Q0..Q3 Y=L"] as const,
  });

  test("modulo 10 by zero at 9 (bits 0 and 3) takes the six states above back within two clocks", () => {
    const { obstacles, ticks, cycleTicks } = poweredUp(loading("A..D=low", "!(A & D)"));
    expect({ obstacles, cycleTicks }).toEqual({ obstacles: [], cycleTicks: 10 });
    // 10 counts to 11, whose bits 0 and 3 are high, and is then loaded.
    expect(ticks).toBe(2);
  });

  test("8 at 12 and 0 at 3 never leaves 8 to 12 again, and does not start there from zero", () => {
    const { obstacles } = poweredUp(loading("A..C=low D=Q3", "!((A & B & !C & !D) | (!A & !B & C & D))"));
    const [judged] = obstacles;
    if (judged?.obstacle.kind !== "other cycles") throw new Error("no other cycle");
    const { graph, provedCycle } = judged.obstacle.start;
    const sorted = graph.cycles.map((states) => [...states].sort((a, b) => a - b));
    expect(sorted).toEqual([
      [0, 1, 2, 3],
      [8, 9, 10, 11, 12],
    ]);
    // 4 to 7 count on to 8; 13 to 15 count on to 0.
    const lost = [...graph.cycleOf.keys()].filter((state) => graph.cycleOf[state] !== provedCycle);
    expect(lost).toEqual([4, 5, 6, 7, 8, 9, 10, 11, 12]);
  });

  test("of a decode that takes more bits than it need loses the counts above for as long as they last", () => {
    // 5 bits of two chips, loaded with 0 at 17 exactly: 18 to 31 count on to 32, which is 0 again.
    const { obstacles, ticks, cycleTicks } = poweredUp({
      U1: [counter, "CLK=CK CLR#=high LOAD#=L ENP=high ENT=high A..D=low QA..QD=Q0..Q3 RCO=R"],
      U2: [pair, `1CLK=CK 1D=N 1Q=Q4 ${released}`],
      U3: [gate("R Q L", "L & (R ^ Q)", 5), "R=R Q=Q4 L=L Y=N"],
      U4: [gate("A B C D E", "!(A & !B & !C & !D & E)", 5), "A..D=Q0..Q3 E=Q4 Y=L"],
    });
    expect({ obstacles, cycleTicks }).toEqual({ obstacles: [], cycleTicks: 18 });
    expect(ticks).toBe(32 - 18);
  });
});

describe("dividers", () => {
  const two = { U1: [pair, `1CLK=CK 1D=A# 1Q=A 1Q#=A# 2CLK=CK 2D=B# 2Q=B 2Q#=B# ${released}`] } as const;

  test("that nothing brings into step may stand against each other in two ways", () => {
    const { obstacles } = poweredUp({ ...two, U2: [gate("A B", "A & B", 5), "A=A B=B Y=BOTH"] });
    expect(obstacles.map(({ obstacle }) => [obstacle.kind, "ways" in obstacle ? obstacle.ways : 0])).toEqual([
      ["out of step", 2],
    ]);
  });

  test("of which nothing reads both may stand as they like", () => {
    expect(poweredUp(two).obstacles).toEqual([]);
  });

  test("of which the monitor shows both are read by it", () => {
    for (const [hsync, vsync, video] of [
      ["A", "B", "N"],
      ["A", "N", "B"],
      ["N", "A", "B"],
    ] as const) {
      const { obstacles } = poweredUp(two, {}, { hsync, vsync, video, size: [1, 1] });
      expect(obstacles.map(({ obstacle }) => obstacle.kind)).toEqual(["out of step"]);
    }
    expect(poweredUp(two, {}, { hsync: "A", vsync: "A#", video: "A", size: [1, 1] }).obstacles).toEqual([]);
  });

  test("that address one memory are read by it", () => {
    const kinds = (part: string, pins: string) =>
      poweredUp({ ...two, U2: [known(part, quick), pins] }).obstacles.map(({ obstacle }) => obstacle.kind);
    expect(kinds("32Kx8", "A0=A A1=B A2..A14=low CE#=low OE#=low WE#=high IO0=D0")).toEqual(["out of step"]);
  });

  test("by 2 and by 3 come into step by themselves: all six ways are one cycle", () => {
    const { obstacles, cycleTicks } = poweredUp({
      U1: [pair, `1CLK=CK 1D=A# 1Q=A 1Q#=A# ${released}`],
      U2: [register, "CLK=CK CLR#=high 1D=N 1Q=C 2D=C 2Q=D"],
      U3: [gate("C D", "!(C | D)", 5), "C=C D=D Y=N"],
      U4: [gate("A C", "A & C", 5), "A=A C=C Y=BOTH"],
    });
    expect(obstacles).toEqual([]);
    expect(cycleTicks).toBe(6);
  });
});

describe("a flip-flop", () => {
  test("that nothing ever clocks keeps what it has at power-up", () => {
    const { obstacles } = poweredUp({ U1: [pair, `1CLK=low 1D=high 1Q=MODE ${released}`] });
    expect(obstacles.map(({ obstacle }) => obstacle.kind)).toEqual(["never set"]);
  });

  test("whose Q is its own D keeps it too", () => {
    expect(cycles({ U1: [pair, `1CLK=CK 1D=MODE 1Q=MODE ${released}`] })).toEqual([1, 1]);
  });
});

describe("a reset", () => {
  /** One goes round among three zeros; what is cleared is one of the four flip-flops turned over. */
  const ring = (clear: string) =>
    ({ U1: [register, `CLK=CK CLR#=${clear} 1D=D 1Q#=A 2D=A 2Q=B 3D=B 3Q=C 4D=C 4Q#=D`] }) as const;
  const reset = { "RESET#": { powerUpOnly: "low", least: 10_000 } } as const;
  const inStep = [
    pair,
    "1CLK=CK 1D=high 1Q=ONE 2CLK=CK 2D=ONE 2Q=IN_STEP# 1CLR#=RESET# 2CLR#=RESET# 1PRE#=high 2PRE#=high",
  ] as const;

  test("let go at any moment may leave a ring with too many ones, or none", () => {
    const { obstacles } = poweredUp(ring("RESET#"), reset);
    expect(obstacles.map((judged) => [judged.obstacle.kind, isMended(judged)])).toEqual([["other cycles", false]]);
    const [judged] = obstacles;
    expect(judged?.reset).toMatchObject({ ticks: undefined, isLostByRelease: true });
  });

  test("brought into step by two flip-flops starts the ring right (common practice)", () => {
    const { obstacles, heldTicks } = poweredUp({ ...ring("IN_STEP#"), U2: inStep }, reset);
    expect(obstacles.map(isMended)).toEqual([true]);
    expect(heldTicks).toBeLessThan(4);
  });

  test("that reaches only some of the flip-flops does not help", () => {
    const chips = {
      ...ring("high"),
      U3: [pair, "1CLK=CK 1D=high 1Q=ELSEWHERE 1CLR#=RESET# 1PRE#=high"],
    } as const;
    const [judged] = poweredUp(chips, reset).obstacles;
    expect(judged?.reset).toMatchObject({ ticks: undefined, isLostByRelease: false });
  });

  test("is not asked for where every state leads to the cycle anyway", () => {
    const { obstacles, heldTicks } = poweredUp(
      { U1: [counter, "CLK=CK CLR#=RESET# LOAD#=high ENP=high ENT=high QA..QD=Q0..Q3"] },
      reset,
    );
    expect({ obstacles, heldTicks }).toEqual({ obstacles: [], heldTicks: 0 });
  });
});

describe("control that follows a signal from outside", () => {
  /** BUSY, once high, stays high for as long as IN is; nothing raises it, so it is low in all that the proof sees. */
  const busy = (clear: string) =>
    ({
      U1: [pair, `1CLK=CK 1D=HELD 1Q=BUSY 1PRE#=high 1CLR#=${clear}`],
      U2: [gate("B I", "B & I", 5), "B=BUSY I=IN Y=HELD"],
      U3: [known("244", quick), "1OE#=BUSY 1A1=low 1Y1=OUT"],
    }) as const;
  const input = { IN: { anyTime: { high: 1000, low: 1000, repeat: 2000 } } } as const;

  test("may stay for as long as the signal lets it where the proof has never been", () => {
    const { obstacles } = poweredUp(busy("high"), input);
    expect(obstacles.map(({ obstacle }) => obstacle.kind)).toEqual(["may stay away"]);
  });

  test("is brought back by a reset, in step or not, where what it is cleared to is what it would take", () => {
    const { obstacles, heldTicks } = poweredUp(busy("RESET#"), {
      ...input,
      "RESET#": { powerUpOnly: "low", least: 10_000 },
    });
    expect(obstacles.map(isMended)).toEqual([true]);
    expect(heldTicks).toBeLessThan(3);
  });

  test("is not in the way where it only lets a signal through to a register that nothing acts on", () => {
    const { bits, obstacles } = poweredUp({ U1: [pair, `1CLK=CK 1D=IN 1Q=SHOWN ${released}`] }, input);
    expect({ bits, obstacles }).toEqual({ bits: 0, obstacles: [] });
  });

  test("counts as control where it enables a memory", () => {
    const { bits } = poweredUp(
      {
        U1: [pair, `1CLK=CK 1D=IN 1Q=SHOWN ${released}`],
        U2: ["62256-70", "A0..A14=low CE#=low OE#=SHOWN WE#=high IO0=D0"],
      },
      input,
    );
    expect(bits).toBe(1);
  });
});
