import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { readCircuit } from "../../../src/circuit/index.js";
import { ns } from "../../../src/quantity/index.js";
import { prove } from "../../../src/timing/index.js";
import { powerUp } from "../../../src/timing/power-up/power-up.js";
import { powerUpVerdicts } from "../../../src/timing/power-up/verdicts.js";
import { type CircuitText, buildCircuit, chipOf, gate, known, oscillator } from "../../support/build-circuit.js";

const quick = { delay: [2, 5, 20], setUp: 10, hold: 1, width: 10, recovery: 10, period: 30 } as const;
const counter = known("163", quick);
const pair = known("74", quick);
const register = known("175", quick);
const can = [oscillator(200), "OUT=CK"] as const;

/** The sentences alone, without the proof of the timing. */
function noteOf(text: CircuitText): string {
  const circuit = buildCircuit({ ...text, chips: { X1: can, ...text.chips } });
  const found = powerUp(circuit, chipOf(circuit, "X1"));
  const proved = { circuit, cycleTicks: found.cycleTicks, longestPeriod: ns(200) };
  return powerUpVerdicts(found, proved)
    .map(({ name, state, note }) => `${name} ${state}: ${note}`)
    .join("\n");
}

function powerUpOf(text: CircuitText) {
  const { verdicts, coverage } = prove(buildCircuit({ ...text, chips: { X1: can, ...text.chips } }));
  const found = verdicts.filter(({ rule }) => rule === "power-up");
  return { names: found.map(({ name, state }) => `${name}: ${state}`), note: found[0]?.note ?? "", coverage };
}

/** Loaded with 8 at 12 and with 0 at 3: 4 to 12 never come to 0 again. */
const locked = {
  U1: [counter, "CLK=CK CLR#=CLEAR# LOAD#=L ENP=high ENT=high A..C=low D=Q3 QA..QD=Q0..Q3"],
  U2: [gate("A B C D", "!((A & B & !C & !D) | (!A & !B & C & D))", 5), "A..D=Q0..Q3 Y=L"],
} as const;
const clear = (least: number) => ({ "CLEAR#": { powerUpOnly: "low", least } }) as const;

describe("the verdict on power-up", () => {
  // The display's enable is made of itself: several parts ask for its course, one after the other.
  test("is open, and no fault, where parts rest on a gate that never comes to rest", () => {
    const file = new URL("../../planning/light-buoy.circuit.yaml", import.meta.url);
    const text = readFileSync(file, "utf8")
      .replace("1OE#: DISPLAY#", "1OE#: J2#")
      .replace("3A: DISPLAY\n", "3A: DISPLAY#\n");
    const { circuit } = readCircuit(text, "light-buoy");
    const verdicts = circuit ? prove(circuit).verdicts : [];
    expect(verdicts.filter(({ rule }) => rule === "feedback").map(({ state }) => state)).toEqual(["fails"]);
  });

  test("holds where nothing is stored that controls", () => {
    expect(noteOf({ chips: { U1: [gate("A", "!A", 5), "A=CK Y=CK#"] } })).toBe(
      "power-up holds: No control storage: nothing has to come into a cycle.",
    );
  });

  test("holds where every state comes into the cycle, and says how soon", () => {
    const { names, note, coverage } = powerUpOf({
      chips: {
        U1: [counter, "CLK=CK CLR#=high LOAD#=L ENP=high ENT=high A..D=low QA..QD=Q0..Q3"],
        U2: [gate("A D", "!(A & D)", 5), "A=Q0 D=Q3 Y=L"],
      },
    });
    expect(names).toEqual(["power-up: holds"]);
    expect(note).toBe(
      "Whatever the 4 bits of control storage hold at power-up, they are in the proved cycle within 2 oscillator periods.",
    );
    expect(coverage).toMatchObject({
      cycleTicks: 10,
      powerUp: { bits: 4, bitsNotFollowed: 0, ticks: 2, heldTicks: 0 },
    });
  });

  test("fails on a lock-out, with a state that shows it and what helps", () => {
    const { names, note, coverage } = powerUpOf({ chips: { ...locked, U3: [gate("A", "A | 1", 5), "A=Q0 Y=CLEAR#"] } });
    expect(names).toEqual(["power-up U1: fails"]);
    expect(note).toContain("From 9 of the 16 states that U1 can start in");
    expect(note).toContain("as from U1 holds 8.");
    expect(note).toContain("Clear or load them with a reset");
    expect(coverage?.powerUp.ticks).toBeUndefined();
    expect(coverage?.text).toContain("Not from every start");
  });

  test("holds with the reset that mends it, and says what happens without", () => {
    // The counter takes its clear at a clock, so it makes no difference to which clock the release comes.
    const { names, note, coverage } = powerUpOf({ chips: locked, inputs: clear(1000) });
    expect(names).toEqual(["power-up: holds"]);
    expect(note).toContain("of the release of CLEAR#, at whatever moment that is let go");
    expect(note).toContain("Without CLEAR#, as after a dip of the supply: from 9 of the 16 states");
    expect(coverage?.powerUp.heldTicks).toBe(1);
  });

  test("fails where the file lets the reset be too short for it", () => {
    const { names, note } = powerUpOf({ chips: locked, inputs: clear(150) });
    expect(names).toEqual(["power-up CLEAR#: fails"]);
    expect(note).toContain("CLEAR# must be held for 1 oscillator period, 200 ns");
  });

  test("is not settled where more bits hang together than are followed", () => {
    const stages = Array.from({ length: 6 }, (_, chip) => {
      const pins = [0, 1, 2, 3].map((n) => `${n + 1}D=Q${(4 * chip + n + 23) % 24} ${n + 1}Q=Q${4 * chip + n}`);
      return [`U${chip + 1}`, [register, `CLK=CK CLR#=high ${pins.join(" ")}`] as const] as const;
    });
    const { names, note, coverage } = powerUpOf({
      chips: {
        ...Object.fromEntries(stages),
        U8: [pair, "1CLK=CK 1D=ODD# 1Q#=ODD# 1PRE#=high 1CLR#=high"],
      },
    });
    expect(names).toEqual(["power-up U1, U2, U3, U4, U5, U6: not settled"]);
    expect(note).toContain("24 bits that hang together");
    expect(note).toContain("Of 25 bits of control storage 1 were.");
    expect(coverage?.powerUp).toMatchObject({ bits: 1, bitsNotFollowed: 24 });
  });
});

describe("a request from outside", () => {
  /** Every rise of WR# turns REQUEST over; a write follows while the second and the third stage differ. */
  const request = (clear: string, clearAsked = "high") =>
    ({
      U1: [pair, `1CLK=WR# 1D=R0# 1Q=R0 1Q#=R0# 1CLR#=${clearAsked} 1PRE#=high`],
      U2: [register, `CLK=CK CLR#=${clear} 1D=R0 1Q=R1 2D=R1 2Q=R2 3D=R2 3Q=R3 4D=low`],
      U3: [gate("A B", "!(A ^ B)", 5), "A=R2 B=R3 Y=SAME"],
      U4: [pair, "1CLK=CK 1D=SAME 1Q=WE# 1CLR#=high 1PRE#=high"],
      U5: ["62256-70", "A0..A14=low CE#=low OE#=high WE#=WE# IO0..IO7=D0..D7"],
    }) as const;
  const inputs = {
    "WR#": { anyTime: { high: 400, low: 400, repeat: 1000 } },
    ...Object.fromEntries(
      Array.from(
        { length: 8 },
        (_, n) => [`D${n}`, { steadyAround: ["WR#", "rise"], before: 10, after: 900 }] as const,
      ),
    ),
  } as const;

  test("may write a memory once at power-up, whatever the request flip-flop holds, and not later", () => {
    const note = noteOf({ chips: request("high"), inputs });
    expect(note).toContain("power-up holds");
    // The first clock samples the request, the second makes it pending, the third begins the write and the fourth ends it.
    expect(note).toMatch(/In the first 4 oscillator periods U5 may be written although nothing comes from outside/);
  });

  test("writes nothing unasked after the reset that the board needs, where that clears the request and all its stages", () => {
    const board = { U11: locked.U1, U12: locked.U2 } as const;
    const noteWith = (chips: CircuitText["chips"]) =>
      noteOf({ chips: { ...board, ...chips }, inputs: { ...inputs, ...clear(4000) } });
    expect(noteWith(request("CLEAR#", "CLEAR#"))).toMatch(/^power-up holds/);
    expect(noteWith(request("CLEAR#", "CLEAR#"))).not.toContain("may be written");
    // One that comes up set is seen as a request once the stages behind it are let go.
    expect(noteWith(request("CLEAR#"))).toContain("U5 may be written although nothing comes from outside");
    expect(noteWith(request("high", "CLEAR#"))).not.toContain("may be written");
  });

  test("that is ever pending keeps writing: nothing says that it stops", () => {
    const chips = { ...request("high"), U3: [gate("A B", "!(A | B)", 5), "A=R2 B=R3 Y=SAME"] } as const;
    expect(noteOf({ chips, inputs })).toContain("U5 may be written at any time, although nothing comes from outside");
  });
});

describe("what a proof has covered", () => {
  test("is told in numbers: periods, situations, and when all repeats", () => {
    const { coverage } = powerUpOf({
      chips: { U1: [counter, "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high QA..QD=Q0..Q3"] },
    });
    expect(coverage).toMatchObject({ cycleTicks: 16, restsOnData: false, followed: [] });
    expect(coverage?.ticks).toBe((coverage?.leadTicks ?? 0) + 16);
    expect(coverage?.text).toMatch(/the whole state comes back every 16, so nothing else can occur/);
  });

  test("names the signals from outside that were followed wherever they may change", () => {
    const { coverage } = powerUpOf({
      chips: { U1: [register, "CLK=CK CLR#=high 1D=IN 1Q=ONE 2D=ONE 2Q=TWO 3D=TWO 3Q=THREE 4D=low"] },
      inputs: { IN: { anyTime: { high: 1000, low: 1000, repeat: 2000 } } },
    });
    expect(coverage).toMatchObject({ followed: ["IN"], quiet: [] });
    expect(coverage?.text).toContain("IN changed or not wherever it may");
  });

  test("names control that rests on a memory: it was followed for either value", () => {
    const { coverage } = powerUpOf({
      chips: {
        U1: [counter, "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high QA..QD=Q0..Q3"],
        U2: ["62256-70", "A0..A3=Q0..Q3 A4..A14=low CE#=low OE#=low WE#=high IO0=D0"],
        U3: [pair, "1CLK=CK 1D=D0 1Q=MODE 1CLR#=high 1PRE#=high"],
        U4: [known("244", quick), "1OE#=MODE 1A1=Q0 1Y1=OUT"],
      },
    });
    expect(coverage?.restsOnData).toBe(true);
    expect(coverage?.text).toContain("Control that rests on data was followed for either value");
  });
});
