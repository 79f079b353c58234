import { describe, expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import { ns } from "../../src/quantity/index.js";
import { Watch } from "../../src/simulation/index.js";
import { type Proof, prove } from "../../src/timing/index.js";
import { letterOf, listen, play, start } from "../simulation/running.js";
import { ANY_TIME, type CircuitText, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { verdictOf } from "./verdict-fixture.js";

/** How slots are made and used on boards of standard logic: common practice, in no book of rules. */

type Chips = CircuitText["chips"];

const notHolding = ({ verdicts }: Proof) => verdicts.filter(({ state }) => state !== "holds").map(({ name }) => name);

describe("a slot clock and its double into one OR gate (common practice)", () => {
  /** DOUBLE and SLOT are neighbouring bits of a counter that runs freely; FIRST# is their OR. */
  const halves = {
    X1: [oscillator(200), "OUT=CK"],
    U1: ["74HC163", "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA=DOUBLE QB=SLOT"],
    U2: ["74HC32", "1A=DOUBLE 1B=SLOT 1Y=FIRST#"],
  } satisfies Chips;
  /** The same two levels one after the other, but from a ring in which one bit changes at a time. */
  const ring: Chips = {
    X1: [oscillator(200), "OUT=CK"],
    U1: ["74HC175", "CLK=CK CLR#=high 1D=LATER# 2D=SLOT 1Q=SLOT 2Q=LATER 2Q#=LATER# 3D..4D=low"],
    U2: ["74HC32", "1A=LATER 1B=SLOT 1Y=FIRST#"],
  };
  const clocked: Chips = { U3: ["74HC74", "1CLK=FIRST# 1D=DATA 1PRE#=high 1CLR#=high 1Q=DATA2 1Q#=DATA"] };
  const written: Chips = {
    U3: ["74HC174", "CLK=CK CLR#=high 1D=low 2D..6D=high 1Q=D0 2Q=D1 3Q=D2 4Q=D3 5Q=D4 6Q=D5"],
    U4: ["62256-70", "A0..A14=low IO0..IO5=D0..D5 CE#=low OE#=high WE#=FIRST#"],
  };
  const looked: Chips = {
    U3: ["74HC175", "CLK=CK CLR#=high 1D=FIRST# 2D=ONE 3D..4D=low 1Q=ONE 2Q=TWO"],
  };
  const glitches = (chips: Chips) => prove(buildCircuit({ chips })).verdicts.filter(({ rule }) => rule === "glitch");

  test("are low together in the first half of the slot clock's low phase and at no other time", () => {
    const simulator = start(buildCircuit({ chips: halves }), { powerUp: { seed: 1 } });
    // Just before each rise of the clock, when everything has settled.
    const settled = Array.from({ length: 64 }, (_, period) => {
      simulator.run(ns(200 * (period + 1) - 1));
      return `${letterOf(simulator, "SLOT")}${letterOf(simulator, "FIRST#")}`;
    });
    const whole = settled.slice(settled.indexOf("00"));
    expect(whole.length).toBeGreaterThan(55);
    whole.forEach((levels, n) => expect(levels).toBe(["00", "01", "11", "11"][n % 4]));
  });

  test("make a second pulse in each slot where the double falls before the slot clock rises", () => {
    const [, pins] = halves.U1;
    /** How often FIRST# falls in three slots, by the delays of the two counter bits in nanoseconds. */
    const falls = (double: number, slot: number) => {
      const counter = known("163", { delay: (_from, _edge, to) => (to === "QA" ? double : slot) });
      const simulator = start(buildCircuit({ chips: { ...halves, U1: [counter, pins] } }), { powerUp: { seed: 1 } });
      simulator.run(ns(200 * 4 + 150));
      const changes = listen(simulator, "FIRST#");
      simulator.run(ns(200 * 16 + 150));
      return changes.filter(([, value]) => value === "0").length;
    };
    expect(falls(20, 20)).toBe(3);
    expect(falls(30, 15)).toBe(3);
    expect(falls(15, 30)).toBe(6);
  });

  test("are a hazard at a clock and at a write strobe", () => {
    const at = (chips: Chips) =>
      glitches({ ...halves, ...chips }).map(({ name, state, net }) => ({ name, state, net }));
    expect(at(clocked)).toEqual([{ name: "glitch U3 1CLK", state: "fails", net: "FIRST#" }]);
    expect(at(written)).toEqual([{ name: "glitch U4 WE#", state: "fails", net: "FIRST#" }]);
  });

  test("the hazard is told at the change in which the double falls while the slot clock rises", () => {
    const [glitch] = glitches({ ...halves, ...clocked });
    const changes = [...(glitch?.chains?.earlier ?? []), ...(glitch?.chains?.later ?? [])].map(({ label }) => label);
    expect(changes.some((label) => label.includes("CLK to QA, fall"))).toBe(true);
    expect(changes.some((label) => label.includes("CLK to QB, rise"))).toBe(true);
  });

  test("are none where only data inputs look at them, and all set-up and hold times are met", () => {
    const proof = prove(buildCircuit({ chips: { ...halves, ...looked } }));
    expect(notHolding(proof)).toEqual([]);
    expect(verdictOf(proof, "set-up U3 1D").count).toBeGreaterThan(0);
  });

  test("are none at a clock or a strobe either where one of the two changes at a time", () => {
    expect(glitches({ ...ring, ...clocked })).toEqual([]);
    expect(glitches({ ...ring, ...written })).toEqual([]);
    expect(notHolding(prove(buildCircuit({ chips: { ...ring, ...clocked } })))).toEqual([]);
  });
});

describe("a display slot and a processor slot on one set of wires (common practice)", () => {
  const flipFlop = { delay: [4, 10, 30], setUp: 10, hold: 1, width: 20, period: 50 } as const;
  const buffer = known("244", {
    delay: (_from, _edge, _to, change) => (change.includes("z") ? [5, 10, 25] : [4, 8, 20]),
  });
  const gates = { delay: [3, 5, 15] } as const;
  const slotClock = known("175", flipFlop);

  /**
   * The display's address and the processor's reach the wires A0 to A3 through one half of U3 each. U4 takes what is there
   * as `show` ends the display's slot, U5 as `host` ends the processor's.
   */
  function board(slots: Chips, show: string, host: string, enable = host): Circuit {
    return buildCircuit({
      chips: {
        X1: [oscillator(200), "OUT=CK"],
        ...slots,
        U3: [buffer, `1OE#=${show} 2OE#=${enable} 1A1..1A4=V0..V3 2A1..2A4=P0..P3 1Y1..1Y4=A0..A3 2Y1..2Y4=A0..A3`],
        U4: [known("175", flipFlop), `CLK=${show} CLR#=high 1D..4D=A0..A3 1Q#..4Q#=V0..V3`],
        U5: [known("175", flipFlop), `CLK=${host} CLR#=high 1D..4D=A0..A3 1Q#..4Q#=P0..P3`],
      },
    });
  }
  const plain: Chips = { U1: [slotClock, "CLK=CK CLR#=high 1D=SLOT# 1Q=SLOT 1Q#=SLOT# 2D..4D=low"] };
  /** The display while the slot clock is low, the processor while it is high. */
  const bare = board(plain, "SLOT", "SLOT#");
  /** The processor's buffer is always on. */
  const tied = board(plain, "SLOT", "SLOT#", "low");
  /** Both are enabled by the display's slot. */
  const same = board(plain, "SLOT", "SLOT#", "SLOT");
  /** Each is enabled one clock after the other's slot has ended: SLOT and LATER are two bits of a ring. */
  const spaced = board(
    {
      U1: [slotClock, "CLK=CK CLR#=high 1D=LATER# 2D=SLOT 1Q=SLOT 2Q=LATER 2Q#=LATER# 3D..4D=low"],
      U2: [known("32", gates), "1A=SLOT 1B=LATER 1Y=SHOW#"],
      U6: [known("00", gates), "1A=SLOT 1B=LATER 1Y=HOST#"],
    },
    "SHOW#",
    "HOST#",
  );
  const contentions = (circuit: Circuit) => prove(circuit).verdicts.filter(({ rule }) => rule === "contention");
  const wires = ["A0", "A1", "A2", "A3"];
  /** `A0 2Y1` on taking over from `1Y1`, and the other way round. */
  const handOvers = wires.flatMap((net, n) => [
    `contention ${net} U3 1Y${n + 1}/U3 2Y${n + 1}`,
    `contention ${net} U3 2Y${n + 1}/U3 1Y${n + 1}`,
  ]);

  test("without a dead time every wire is driven twice for a while at both hand-overs", () => {
    const found = contentions(bare);
    expect(found.map(({ name }) => name).sort()).toEqual(handOvers);
    // The buffer that takes over may be on 4 + 5 ns after the clock, the other be off only after 30 + 25 ns.
    for (const { state, margin } of found) expect({ state, margin }).toEqual({ state: "fails", margin: ns(9 - 55) });
  });

  test("with a dead time of one clock no wire is, and everything else holds too", () => {
    const proof = prove(spaced);
    // Nothing says how U4 and U5 stand against each other at power-up.
    expect(notHolding(proof).filter((name) => !name.startsWith("power-up"))).toEqual([]);
    const found = proof.verdicts.filter(({ rule }) => rule === "contention");
    expect(found.map(({ name }) => name).sort()).toEqual(handOvers);
    // 200 ns and 4 + 3 + 5 ns until the next may be on, less 30 + 15 + 25 ns until the last is surely off.
    for (const { margin } of found) expect(margin).toBe(ns(200 + 12 - 70));
  });

  test("but for the hand-over they never overlap: the proof finds none that drive together", () => {
    const together = (circuit: Circuit) => contentions(circuit).filter(({ name }) => name.endsWith("together"));
    expect(together(bare)).toEqual([]);
    expect(together(spaced)).toEqual([]);
    expect(together(tied).length).toBeGreaterThan(0);
    expect(together(same).length).toBeGreaterThan(0);
  });

  test("in the simulation they overlap at an edge of the slot clock and at no other time", () => {
    let seen = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const { edges, overlaps } = simulated(bare, seed);
      seen += overlaps.length;
      // A buffer switches 4 + 5 to 30 + 25 ns after the clock, and the slot clock itself 4 to 30 ns after it.
      for (const { from, to = Infinity } of overlaps) {
        expect(edges.some((edge) => from >= edge + ns(9 - 30) && to <= edge + ns(55 - 4))).toBe(true);
      }
      expect(simulated(spaced, seed).overlaps).toEqual([]);
    }
    expect(seen).toBeGreaterThan(0);
  });
});

/** Edges of SLOT within 8 us, and what drove twice from the middle of the first slot on, in femtoseconds. */
function simulated(circuit: Circuit, seed: number) {
  const simulator = start(circuit, { delays: { seed, spread: "ends" }, powerUp: { seed } });
  const changes = listen(simulator, "SLOT");
  simulator.run(ns(8000));
  const edges = changes.map(([time]) => ns(time));
  const [first = 0] = edges;
  return { edges, overlaps: simulator.contentions.ended.filter(({ from }) => from > first + ns(100)) };
}

/** Three stages in a chain; B0 to B7 on the first, which SERIAL enters. */
const chain = buildCircuit({
  chips: Object.fromEntries(
    ["SERIAL", "CHAIN0", "CHAIN1"].map((from, n) => [
      `U${n + 1}`,
      [
        "74HC595",
        `SER=${from} SRCLK=SHIFT SRCLR#=high RCLK=STORE OE#=low QA..QH=B${8 * n}..B${8 * n + 7} QH'=CHAIN${n}`,
      ] as const,
    ]),
  ),
  inputs: { SERIAL: ANY_TIME, SHIFT: ANY_TIME, STORE: ANY_TIME },
});

/**
 * Shifts the word in, its last bit first and zeros after its first one, at 2 MHz; then `stores` edges of the output register.
 * Slowest chips. Tells the outputs in order, `x` where unknown, before and after the stores, and what was too short.
 */
function load(word: string, shifts: number, stores: number) {
  const simulator = start(chain, { inputs: { SERIAL: 0, SHIFT: 0, STORE: 0 }, delays: "latest" });
  const watch = new Watch(simulator);
  const outputs = () => Array.from(word, (_, n) => letterOf(simulator, `B${n}`)).join("");
  for (let n = 0; n < shifts; n++) {
    play(simulator, "SERIAL", [[500 * n + 1, word.at(-1 - n) === "1" ? 1 : 0]]);
    play(simulator, "SHIFT", [
      [500 * n + 200, 1],
      [500 * n + 400, 0],
    ]);
    simulator.run(ns(500 * (n + 1)));
  }
  const before = outputs();
  for (let n = shifts; n < shifts + stores; n++) {
    play(simulator, "STORE", [
      [500 * n + 200, 1],
      [500 * n + 400, 0],
    ]);
    simulator.run(ns(500 * (n + 1)));
  }
  return { before, after: outputs(), violations: watch.violations };
}

describe("a serial load of 24 bits into three 8-bit shift registers with output registers (common practice)", () => {
  const word = "101000110101110010010110";
  const nothing = "x".repeat(24);

  test("takes 24 shift edges, during which the outputs keep still, and one edge of the output register", () => {
    expect(load(word, 24, 1)).toEqual({ before: nothing, after: word, violations: [] });
  });

  test("is not there without the register's edge", () => {
    expect(load(word, 24, 0).after).toBe(nothing);
  });

  test("is one place short after 23 shift edges and one place too far after 25", () => {
    expect(load(word, 23, 1).after).toBe(`${word.slice(1)}x`);
    expect(load(word, 25, 1).after).toBe(`0${word.slice(0, 23)}`);
  });

  test("a further edge of the output register changes nothing", () => {
    expect(load(word, 24, 2).after).toBe(word);
  });
});
