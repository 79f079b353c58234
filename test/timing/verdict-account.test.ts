import { describe, expect, test } from "vitest";
import { settle } from "../../src/evidence/index.js";
import { ns, range, timeMeasure } from "../../src/quantity/index.js";
import { explain, prove } from "../../src/timing/index.js";
import { buildCircuit, gate, known, oscillator } from "../support/build-circuit.js";
import { quick, twoRegisters, verdictOf, verdictOn } from "./verdict-fixture.js";

/** A memory that one of two buffers addresses and that a register reads: the display's side of a video board in small. */
const board = buildCircuit({
  wires: [0, 1],
  inputs: { PA: { after: ["CK", "rise"], from: 5, to: 30 } },
  chips: {
    X1: [oscillator(100), "OUT=CK"],
    U1: [known("175", quick), "CLK=CK CLR#=high 1D=T0 1Q#=T0 1Q=T1 2D=low 3D=low 4D=low"],
    U2: [known("126", { delay: [3, 12] }), "1A=PA 1OE=T0 1Y=BUS 2A=low 2OE=T1 2Y=BUS 3A=low 3OE=low 4A=low 4OE=low"],
    U3: [known("174", quick), "CLK=CK CLR#=high 1D=BUS 1Q=SEEN 2D=SEEN 3D=low 4D=low 5D=low 6D=low"],
    U4: [gate("A B", "A & B", [1, 6]), "A=T0 B=SEEN Y=GATED"],
    U5: [known("74", quick), "1CLK=GATED 1D=low 1PRE#=high 1CLR#=high"],
  },
});

describe("the account of a set-up", () => {
  const account = () => explain(verdictOn(twoRegisters(), "set-up U2 1D"));

  test("says what has to happen before what", () => {
    const { heading, sentences } = account();
    expect(heading).toBe("set-up U2 1D holds with 73.00 ns to spare");
    expect(sentences[0]).toBe("NEXT at U2 1D (made 175) must be steady 5.00 ns before CLK captures it.");
  });

  test("adds up line by line to the margin", () => {
    expect(account().lines.map(({ text, adds, sum }) => [text, adds, sum])).toEqual([
      ["The edge at U2 CLK that captures it, at the earliest:", undefined, undefined],
      ["start: 1 oscillator period of 100 ns later", ns(100), ns(100)],
      ["wire CK to U2 CLK", 0, ns(100)],
      ["less the last change of NEXT at U2 1D before that edge, at the latest:", undefined, undefined],
      ["wire CK to U1 CLK", ns(-1), ns(99)],
      [expect.stringMatching(/^U1 made 174 CLK to 3Q, (rise|fall)$/), ns(-20), ns(79)],
      ["wire NEXT to U2 1D", ns(-1), ns(78)],
      ["available", undefined, ns(78)],
      ["less what is required (tsu)", ns(-5), ns(73)],
      ["margin", undefined, ns(73)],
    ]);
  });

  test("gives limits and source of every step", () => {
    const { lines, sources } = account();
    const steps = lines.filter(({ limits }) => limits !== "");
    expect(steps.map(({ limits }) => limits)).toEqual([
      "0.00 to 1.00",
      "0.00 to 1.00",
      "2.00 to 20.00",
      "0.00 to 1.00",
    ]);
    for (const { source } of steps)
      expect(sources[(source ?? 0) - 1]).toMatch(/^(wire of a breadboard|none made for a test)/);
  });
});

test("the time between two edges of the oscillator that differ says of what share of a period", () => {
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(100, range(0.45, 0.575)), "OUT=CK"],
      U1: [known("04", { delay: 3 }), "1A=CK 1Y=CK# 2A..6A=low"],
      U2: [known("174", quick), "CLK=CK CLR#=high 1D=low 1Q=A 2D..6D=low"],
      U3: [known("74", quick), "1CLK=CK 1D=T# 1Q=T 1Q#=T# 1PRE#=high 1CLR#=high 2CLK=CK# 2D=T 2PRE#=high 2CLR#=high"],
    },
  });
  const { lines } = explain(verdictOn(circuit, "set-up U3 2D"));
  expect(lines.map(({ text }) => text)).toContain("start: plus the oscillator's high time, 45 % to 57.5 % of a period");
});

test("every sum runs on from the line before, and ends at the margin", () => {
  let accounts = 0;
  for (const verdict of prove(board).verdicts) {
    const { lines } = explain(verdict);
    const steps = lines.filter(({ adds, sum }) => adds !== undefined && sum !== undefined);
    const running = steps.map((_, index) => steps.slice(0, index + 1).reduce((sum, { adds = 0 }) => sum + adds, 0));
    expect(steps.map(({ sum }) => sum)).toEqual(running);
    const last = lines.at(-1);
    expect([verdict.name, last?.text === "margin" ? last.sum : undefined]).toEqual([verdict.name, verdict.margin]);
    if (verdict.margin !== undefined) accounts++;
  }
  expect(accounts).toBeGreaterThan(10);
});

test("contention asks that one has let go before the other drives", () => {
  const turns = prove(board).verdicts.filter(({ rule }) => rule === "contention");
  expect(turns.length).toBeGreaterThan(0);
  for (const turn of turns) {
    const { sentences } = explain(turn);
    expect(sentences[0]).toMatch(/^U2 [12]Y must have let go of BUS before U2 [12]Y begins to drive it\.$/);
    // One flip-flop turns both: only the buffer's own spread and the wires keep them apart.
    expect(turn.margin).toBeLessThan(0);
  }
});

test("a signal that comes at any time needs a synchroniser, and no time decides", () => {
  const request = buildCircuit({
    inputs: { WR: { anyTime: { high: 500, low: 500, repeat: 3000 } } },
    chips: {
      X1: [oscillator(100), "OUT=CK"],
      U1: [known("175", quick), "CLK=CK CLR#=high 1D=low 2D=low 3D=REQUEST 3Q=ALONE 4D=low"],
      U2: [known("74", quick), "1CLK=WR 1D=TURN 1Q=REQUEST 1Q#=TURN 1PRE#=high 1CLR#=high"],
    },
  });
  const { state, margin } = verdictOn(request, "synchroniser U1 3D");
  expect({ state, margin }).toEqual({ state: "fails", margin: undefined });
  const { heading, sentences, lines } = explain(verdictOn(request, "synchroniser U1 3D"));
  expect(heading).toBe("synchroniser U1 3D: fails");
  expect(sentences[0]).toContain("REQUEST may change at any time");
  expect(lines.length).toBeGreaterThan(0);
  expect(lines.every(({ sum }) => sum === undefined)).toBe(true);
});

test("a clock that may glitch says so without a margin", () => {
  const verdict = verdictOn(board, "glitch U5 1CLK");
  const { state, margin, note } = verdict;
  expect({ state, margin }).toEqual({ state: "fails", margin: undefined });
  expect(note).toContain("pulse as short as one likes");
  expect(explain(verdict).sentences[0]).toBe("No glitch may reach U5 1CLK (made 74), which acts at once (clock).");
});

test("a glitch of which a board was found says how to run it again", () => {
  const { proof } = settle(board, prove(board));
  const { sentences } = explain(verdictOf(proof, "glitch U5 1CLK"));
  expect(sentences).toContain(
    'A board within all limits shows it: simulate with --witness "glitch U5 1CLK" runs it again.',
  );
});

test("a failure tells its margin at typical delays for information", () => {
  const { heading, sentences } = explain(verdictOn(twoRegisters({ period: 26 }), "set-up U2 1D"));
  expect(heading).toBe("set-up U2 1D fails, short by 1.00 ns");
  expect(sentences).toContain("At typical delays the margin is 15.50 ns; that is for information and no verdict.");
});

test("an accepted failure says why, and when that no longer counts", () => {
  const circuit = twoRegisters({ period: 26 });
  const accepted = (margin: number) => ({
    ...circuit,
    accepted: [
      { verdict: "set-up U2 1D", margin: timeMeasure(ns(margin)), reason: "the clock is slowed on the bench" },
    ],
  });
  const told = (margin: number) => explain(verdictOn(accepted(margin), "set-up U2 1D")).sentences.at(-1);
  expect(told(-2)).toBe("The file accepts this down to -2.00 ns: the clock is slowed on the bench");
  expect(told(0)).toContain("it has become worse, so that no longer counts");
});
