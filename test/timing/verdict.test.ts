import { describe, expect, test } from "vitest";
import type { Acceptance, Circuit } from "../../src/circuit/index.js";
import { ns, timeMeasure } from "../../src/quantity/index.js";
import { type ChainStep, ProofStopped, prove } from "../../src/timing/index.js";
import { countsAgainst } from "../../src/verdict/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";
import { circuitOfSketch } from "../support/clocked-circuit.js";
import { randomSketch } from "../support/random-clocked-circuit.js";
import { quick, twoRegisters, verdictOf, verdictOn } from "./verdict-fixture.js";

const without = (figure: string) => Object.fromEntries(Object.entries(quick).filter(([name]) => name !== figure));
const COUNTING = "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low";
const accepting = (circuit: Circuit, ...accepted: readonly Acceptance[]): Circuit => ({ ...circuit, accepted });

describe("a margin is arithmetic that a person can follow", () => {
  test("set-up: a period less the slowest delay, its wires and the set-up time", () => {
    const { state, required, available, margin } = verdictOn(twoRegisters(), "set-up U2 1D");
    // 100 ns less 1 ns of wire to U1, 20 ns through it and 1 ns of wire to U2, whose own clock wire may take nothing.
    expect({ state, required, available, margin }).toEqual({
      state: "holds",
      required: ns(5),
      available: ns(78),
      margin: ns(73),
    });
  });

  test("hold: the fastest delay less the slowest clock wire and the hold time", () => {
    const { available, margin } = verdictOn(twoRegisters(), "hold U2 1D");
    expect({ available, margin }).toEqual({ available: ns(2 - 1), margin: ns(0) });
  });

  test("a delay that is longer takes just as much off the margin of the set-up and nothing off that of the hold", () => {
    const slower = prove(twoRegisters({ first: { ...quick, delay: [2, 5, 27] } }));
    expect(verdictOf(slower, "set-up U2 1D").margin).toBe(ns(73 - 7));
    expect(verdictOf(slower, "hold U2 1D").margin).toBe(ns(0));
  });

  test("what both ways share counts on neither", () => {
    const { margin, chains } = verdictOn(
      buildCircuit({
        wires: [0, 1],
        chips: {
          X1: [oscillator(100), "OUT=CK"],
          U1: [known("74", quick), "1CLK=CK 1D=HALF# 1Q=HALF 1Q#=HALF# 1PRE#=high 1CLR#=high"],
          U2: [known("174", quick), "CLK=HALF CLR#=high 1D=TURN 1Q=NEXT 2D..6D=low"],
          U3: [known("175", quick), "CLK=HALF CLR#=high 1D=NEXT 1Q#=TURN 2D..4D=low"],
        },
      }),
      "set-up U3 1D",
    );
    // U1 divides by two; its 2 to 20 ns are the same for both registers.
    expect(margin).toBe(ns(200 - 1 - 20 - 1 - 5));
    const shared = (steps: readonly ChainStep[]) => steps.filter((s) => s.cancelled).map(({ label }) => label);
    const both = ["wire CK to U1 1CLK", "U1 made 74 1CLK to 1Q, rise"];
    expect(shared(chains?.earlier ?? [])).toEqual(both);
    expect(shared(chains?.later ?? [])).toEqual(both);
  });

  test("a failure says by how much and what the margin would be at typical delays", () => {
    const { state, margin, typicalMargin } = verdictOn(twoRegisters({ period: 26 }), "set-up U2 1D");
    expect({ state, margin }).toEqual({ state: "fails", margin: ns(26 - 22 - 5) });
    // Typical delay 5 ns, typical wires half a nanosecond each: 26 - 0.5 - 5 - 0.5 + 0.5 - 5.
    expect(typicalMargin).toBe(ns(15.5));
  });
});

describe("in circuits of every kind", () => {
  const proved = Array.from({ length: 40 }, (_, index) => {
    const sketch = randomSketch(1000 + index);
    return { sketch, verdicts: prove(circuitOfSketch(sketch)).verdicts };
  });

  test("the steps of every verdict and what lies between them add up to the available time", () => {
    let compared = 0;
    const wrong: string[] = [];
    for (const { sketch, verdicts } of proved) {
      for (const { name, chains, available, allowance = 0 } of verdicts) {
        if (!chains || available === undefined || chains.gap === "most") continue;
        const span = spanOf(chains.between.text, sketch.duty);
        if (span === undefined) continue;
        const sum = span + used(chains.later) - used(chains.earlier) + allowance;
        // The text gives periods to a tenth of a picosecond.
        if (Math.abs(sum - available) > ns(0.01))
          wrong.push(`${name} of sketch ${sketch.seed}: ${chains.between.text}`);
        compared++;
      }
    }
    expect(wrong).toEqual([]);
    expect(compared).toBeGreaterThan(200);
  });

  test("a clock that the bits of a ring share is judged once in each period, by width and by period", () => {
    const ring = "CLK=CK CLR#=high 1D=D 1Q=A 2D=A 2Q=B 3D=B 3Q=C 4D=C 4Q#=D";
    const proof = prove(buildCircuit({ chips: { X1: [oscillator(100), "OUT=CK"], U1: [known("175", quick), ring] } }));
    const found = proof.verdicts.filter(({ pin }) => pin === "CLK");
    expect(Object.fromEntries(found.map(({ name, margin }) => [name, margin]))).toEqual({
      "clock period U1 CLK": ns(100 - 30),
      "pulse width U1 CLK high": ns(50 - 10),
      "pulse width U1 CLK low": ns(50 - 10),
    });
    for (const { count } of found) expect(count).toBeLessThanOrEqual(proof.leadTicks + proof.cycleTicks);
  });

  // Bit n of a binary counter changes with every 2^n-th clock, for the second time with the 2^(n+1)-th.
  test("an address bit is judged at each of its changes but the first, and the moment told is the first of them", () => {
    const memory = known("32Kx8", { delay: [5, 60], memory: { tRC: 70 } });
    const { verdicts, leadTicks, cycleTicks } = prove(
      buildCircuit({
        chips: {
          X1: [oscillator(200), "OUT=CK"],
          U1: [known("163", quick), `${COUNTING} QA..QD=A0..A3`],
          U2: [memory, "A0..A3=A0..A3 A4..A14=low CE#=low OE#=low WE#=high IO0=D0"],
          U3: [known("74", quick), "1CLK=CK 1D=D0 1CLR#=high 1PRE#=high 1Q=SEEN"],
        },
      }),
    );
    const told = verdicts.flatMap(({ rule, pin, occasion, count }) =>
      rule === "memory cycle" ? [{ pin, tick: occasion?.tick, count }] : [],
    );
    expect(told).toEqual(
      [0, 1, 2, 3].map((bit) => ({
        pin: `A${bit}`,
        tick: 2 ** (bit + 1) - 1,
        count: Math.floor((leadTicks + cycleTicks - 1) / 2 ** bit),
      })),
    );
  });

  test("a clock that many flip-flops share is judged once in each period at each chip", () => {
    const { verdicts, leadTicks, cycleTicks } = prove(twoRegisters());
    const counts = verdicts.filter(({ symbol }) => symbol === "tw high").map(({ name, count }) => [name, count]);
    expect(counts).toEqual([
      ["pulse width U1 CLK high", leadTicks + cycleTicks],
      ["pulse width U2 CLK high", leadTicks + cycleTicks],
    ]);
  });

  test("no two verdicts have one name", () => {
    for (const { verdicts } of proved) expect(new Set(verdicts.map(({ name }) => name)).size).toBe(verdicts.length);
  });

  test("failures come first, the worst before the others", () => {
    for (const { verdicts } of proved) {
      const failing = verdicts.filter(({ state }) => state === "fails");
      expect(verdicts.slice(0, failing.length)).toEqual(failing);
      const margins = failing.flatMap(({ margin }) => (margin === undefined ? [] : [margin]));
      expect(margins).toEqual([...margins].sort((a, b) => a - b));
    }
  });
});

/** What counts of steps that are not shared. */
function used(steps: readonly ChainStep[]): number {
  return steps.reduce((sum, step) => sum + (step.cancelled ? 0 : step.used === "max" ? step.max : step.min), 0);
}

/** The time that the words between two edges stand for, in fs; undefined where the duty is a range or the words say more. */
function spanOf(text: string, [least, most]: readonly [number, number]): number | undefined {
  if (text === "the same edge of the oscillator") return 0;
  const [, count, period, direction, rest] =
    /^(\d+) oscillator periods? of ([\d.]+) ns (later|earlier)(.*)$/.exec(text) ?? [];
  if (count === undefined || period === undefined || rest === undefined) return undefined;
  const whole = (direction === "later" ? 1 : -1) * Number(count) * ns(Number(period));
  if (rest === "") return whole;
  if (least !== most) return undefined;
  return whole + (rest.includes("plus") ? 1 : -1) * least * ns(Number(period));
}

describe("a figure that no sheet gives is not covered", () => {
  test("a missing requirement is the verdict on its place, and names the figure", () => {
    const proof = prove(twoRegisters({ second: without("hold") }));
    const { state, margin, missing, note } = verdictOf(proof, "hold U2 1D");
    expect({ state, margin, missing }).toEqual({
      state: "not covered",
      margin: undefined,
      missing: ["U2: hold of 1D to CLK, not given"],
    });
    expect(note).toBe("No sheet on record gives U2: hold of 1D to CLK, not given: an own parts file can.");
    expect(proof.verdicts.filter(({ rule }) => rule === "figure")).toEqual([]);
  });

  test("so is every other figure that a rule asks for", () => {
    const memory = known("32Kx8", { delay: 5, memory: { tWP: 1 } });
    const bare = known("74", { delay: 5 });
    const proof = prove(
      buildCircuit({
        chips: {
          X1: [oscillator(200), "OUT=CK"],
          U1: [known("163", quick), "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA=A0 QB=A1"],
          U2: [bare, "1CLK=CK 1CLR#=A0 1PRE#=high 1D=A1 1Q=OUT 2CLK=low 2CLR#=high 2PRE#=high 2D=low"],
          U3: [known("373", { delay: 5 }), "LE=A0 OE#=low 1D=A1 1Q=HELD 2D..8D=low"],
          U4: [memory, "A0=A1 A1..A14=low CE#=low OE#=high WE#=A0 IO0=A1 IO1..IO7=low"],
          U5: [memory, "A0=A1 A1..A14=low CE#=low OE#=low WE#=high IO0=READ"],
        },
      }),
    );
    const missing = proof.verdicts.filter(({ state }) => state === "not covered");
    expect(missing.map(({ name, missing: [first] }) => `${name}: ${first}`)).toEqual([
      "clock period U2 1CLK: U2: clock period of 1CLK, not given",
      "hold U2 1D: U2: hold of 1D to 1CLK, not given",
      "hold U3 1D: U3: hold of 1D to LE, not given",
      "pulse width U2 1CLK high: U2: high width of 1CLK, not given",
      "pulse width U2 1CLK low: U2: low width of 1CLK, not given",
      "pulse width U2 1CLR# low: U2: low width of 1CLR#, not given",
      "pulse width U3 LE high: U3: high width of LE, not given",
      "recovery U2 1CLR#: U2: recovery of 1CLR# to 1CLK, not given",
      "set-up U2 1D: U2: set-up of 1D to 1CLK, not given",
      "set-up U3 1D: U3: set-up of 1D to LE, not given",
      "tAS U4 A0: U4: tAS, not given",
      "tAW U4 A0: U4: tAW, not given",
      "tDH U4 IO0: U4: tDH, not given",
      "tDW U4 IO0: U4: tDW, not given",
      "tRC U5 A0: U5: tRC, not given",
      "tWC U4 A0: U4: tWC, not given",
      "tWR U4 A0: U4: tWR, not given",
    ]);
  });

  test("a clock's width may be missing where its period is stated, and the period where a width is", () => {
    const places = (figures: GivenFigures) =>
      prove(buildCircuit({ chips: { X1: [oscillator(200), "OUT=CK"], U1: [known("163", figures), COUNTING] } }))
        .verdicts.filter(({ rule }) => rule === "pulse width" || rule === "clock period")
        .map(({ name, state }) => `${name} ${state}`);
    expect(places(without("width"))).toEqual(["clock period U1 CLK holds"]);
    expect(places(without("period"))).toEqual(["pulse width U1 CLK high holds", "pulse width U1 CLK low holds"]);
    expect(places({ delay: 5 })).toEqual([
      "clock period U1 CLK not covered",
      "pulse width U1 CLK high not covered",
      "pulse width U1 CLK low not covered",
    ]);
  });

  test("a missing delay is a verdict of its own, and nothing that rests on it holds", () => {
    const proof = prove(
      twoRegisters({ first: { ...quick, delay: (_from, _edge, to) => (to === "3Q" ? undefined : 9) } }),
    );
    expect(verdictOf(proof, "figure U1 CLK rise to 3Q rise")).toMatchObject({
      state: "not covered",
      chip: "U1",
      count: 0,
    });
    expect(verdictOf(proof, "set-up U2 1D")).toMatchObject({ state: "not covered" });
    expect(verdictOf(proof, "set-up U1 2D")).toMatchObject({ state: "holds", margin: ns(100 - 9 - 1 - 5) });
  });

  test("a circuit without an oscillator, or with two, has nothing that times count from", () => {
    const [u1] = twoRegisters().chips.slice(1);
    const none = { ...twoRegisters(), chips: u1 ? [u1] : [] };
    expect(prove(none).verdicts).toMatchObject([{ name: "oscillator", state: "not covered" }]);
    const can = oscillator(100);
    const two = buildCircuit({ chips: { X1: [can, "OUT=A"], X2: [can, "OUT=B"] } });
    expect(prove(two).verdicts[0]?.note).toContain("2: X1, X2");
    expect(prove(buildCircuit({ chips: { X1: [can, ""] } })).verdicts[0]?.note).toBe("X1 drives no net.");
  });

  test("a state that does not come back in the periods allowed is not settled", () => {
    const proof = prove(counterOf(14), { mostTicks: 8192 });
    expect(proof.verdicts).toMatchObject([{ name: "repetition", state: "not settled" }]);
    expect(proof.verdicts[0]?.note).toContain("8,192 oscillator periods");
    expect(prove(counterOf(4)).cycleTicks).toBe(16);
  });

  test("a proof stops when it is told to", () => {
    expect(() => prove(counterOf(14), { onProgress: () => false })).toThrow(ProofStopped);
  });
});

/** A ripple counter of that many bits, all of them storage that runs by itself. */
function counterOf(bits: number): Circuit {
  const stages = Array.from({ length: bits }, (_, n): [string, readonly [ReturnType<typeof known>, string]] => {
    const clock = n === 0 ? "CK" : `B${n - 1}#`;
    const pins = `1CLK=${clock} 1D=B${n}# 1Q=B${n} 1Q#=B${n}# 1PRE#=high 1CLR#=high`;
    return [`U${n + 1}`, [known("74", { ...quick, delay: 3 }), pins]];
  });
  return buildCircuit({ chips: { X1: [oscillator(100), "OUT=CK"], ...Object.fromEntries(stages) } });
}

describe("a builder may accept a failure", () => {
  const failing = twoRegisters({ period: 26 });
  const accept = (verdict: string, margin: number): Acceptance => ({
    verdict,
    margin: timeMeasure(ns(margin)),
    reason: "measured",
  });

  test("it counts no longer while the margin is no worse than accepted", () => {
    const verdict = verdictOn(accepting(failing, accept("set-up U2 1D", -1)), "set-up U2 1D");
    expect(verdict).toMatchObject({ state: "fails", accepted: { reason: "measured", lapsed: false } });
    expect(countsAgainst(verdict)).toBe(false);
  });

  test("it lapses when the margin gets worse", () => {
    const verdict = verdictOn(accepting(failing, accept("set-up U2 1D", -0.999)), "set-up U2 1D");
    expect(verdict.accepted?.lapsed).toBe(true);
    expect(countsAgainst(verdict)).toBe(true);
  });

  test("what is accepted in vain is told", () => {
    const circuit = accepting(
      failing,
      accept("set-up U9 1D", 0),
      accept("clock period U2 CLK", 0),
      accept("hold U2 1D", 0),
    );
    const proof = prove(circuit);
    const why = Object.fromEntries(proof.idleAcceptances.map(({ acceptance, why }) => [acceptance.verdict, why]));
    expect(why).toEqual({ "set-up U9 1D": "no such verdict", "hold U2 1D": "holds" });
    expect(verdictOf(proof, "clock period U2 CLK").accepted?.lapsed).toBe(true);
  });
});

describe("a verdict says what it rests on", () => {
  /** Sheets that state no minimum: the file assumes a quarter of the typical delay. */
  const gauge = buildCircuit({
    chips: {
      X1: [oscillator(200), "OUT=CK"],
      U1: ["74HC175", "CLK=CK CLR#=high 1D=TURN 1Q=ONE 1Q#=TURN 2D=ONE 3D=low 4D=low"],
    },
  });

  test("a hold that counts with an assumed minimum says so; a set-up that counts with maxima does not", () => {
    const proof = prove(gauge);
    expect(verdictOf(proof, "hold U1 2D").restsOn).toContain("assumed minimum");
    expect(verdictOf(proof, "set-up U1 2D").restsOn).not.toContain("assumed minimum");
  });

  test("requirement and delays name the sheet that they were read from", () => {
    const { source, chains } = verdictOn(gauge, "set-up U1 2D");
    const arcs = [...(chains?.earlier ?? []), ...(chains?.later ?? [])].filter(({ kind }) => kind === "arc");
    expect(source).toContain("4.5 V");
    expect(arcs.length).toBeGreaterThan(0);
    for (const arc of arcs) expect(arc.source).toContain("4.5 V");
  });
});

test("a moment is told in lines and dots where the cycle is a frame, else in oscillator periods", () => {
  const frame = { lineTime: ns(400), dots: 8, lines: 4 };
  const told = verdictOf(prove(counterOf(4), { frame }), "clock period U2 1CLK").occasion;
  const plain = verdictOf(prove(counterOf(4)), "clock period U2 1CLK").occasion;
  expect(told?.tick).toBe(plain?.tick);
  expect(told?.line).toBe(Math.floor((plain?.tick ?? 0) / 4) % 4);
  expect(told?.dot).toBe(2 * ((plain?.tick ?? 0) % 4));
  expect(told?.text).toBe(`line ${told?.line}, dot ${told?.dot}`);
  expect(plain?.text).toMatch(/^period \d+ of 16$/);
  const other = prove(counterOf(4), { frame: { ...frame, lines: 3 } });
  expect(verdictOf(other, "clock period U2 1CLK").occasion?.text).toBe(plain?.text);
});
