import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { type Circuit, formatProblem, readCircuit } from "../../../src/circuit/index.js";
import { fs, inNs, ns } from "../../../src/quantity/index.js";
import { Machine } from "../../../src/simulation/compiled/index.js";
import { Simulator, chooseDelays, compileTables } from "../../../src/simulation/index.js";
import { randomBytes } from "../../../src/simulation/random.js";
import { prove } from "../../../src/timing/index.js";
import { letterOf, start } from "../../simulation/running.js";
import { compareRests } from "../../support/compiled-agreement.js";

const drawer = readFileSync(new URL("../../../examples/drawer.parts.yaml", import.meta.url), "utf8");

const head = `dotwright: 1
title: Depths that the pilot keeps
supply: 5 V ± 10 %
ambient: 0 to 50 °C
build: printed board
raster: 640x480@60
own parts: drawer.parts.yaml
`;

/** A counter reads sixteen words of four bits into a register. */
const reader = `${head}picture: { size: 320 x 240, hsync: T2, vsync: T3, video: T0 }
chips:
  X1: { part: OSC-2.5MHz, pins: { OUT: CLK } }
  U1:
    part: 74HC163
    pins: { CLK: CLK, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, "Q[A..D]": "N[0..3]", RCO: open }
  U2:
    part: FM2114-200
    pins: { "A[0..3]": "N[0..3]", "A[4..9], CS#": low, WE#: high, "IO[1..4]": "D[0..3]" }
  U3:
    part: 74HC175
    pins: { CLK: CLK, CLR#: high, "[1..4]D": "D[0..3]", "[1..4]Q": "T[0..3]", "[1..4]Q#": open }
`;

/** Of each sixteen counts, two words are read and then two written, by the select alone while the write enable is low. */
const keeper = `${head}chips:
  X1: { part: OSC-2.5MHz, pins: { OUT: CLK } }
  U1:
    part: 74HC163
    pins: { CLK: CLK, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, "Q[A..D]": "N[0..3]", RCO: NEXT }
  U2:
    part: 74HC163
    pins: { CLK: CLK, "CLR#, LOAD#, ENP": high, ENT: NEXT, "A, B, C, D": low, "Q[A..D]": "M[0..3]", RCO: open }
  U3:
    part: 74HC139
    pins: { 1G#: low, 1A: N0, 1B: N1, "1Y0#, 1Y2#": open, 1Y1#: SECOND#, 1Y3#: FOURTH#, 2G#: high, "2A, 2B": low, "2Y[0..3]#": open }
  U4:
    part: 74HC00
    pins: { "1A, 1B": SECOND#, 1Y: SECOND, 2A: FOURTH#, 2B: N3, 2Y: READS, "3A, 3B": READS, 3Y: WRITES, "4A, 4B": low, 4Y: open }
  U5:
    part: 74HC175
    pins: { CLK: CLK, CLR#: high, 1D: SECOND, 1Q#: CS#, 2D: WRITES, 2Q#: WE#, 3D: N3, 3Q#: SEND#, 4D: low, 4Q#: open, "[1..4]Q": open }
  U6:
    part: FM2114-200
    pins: { A0: N2, "A[1..3]": "M[0..2]", "A[4..9]": low, CS#: CS#, WE#: WE#, "IO[1..4]": "D[0..3]" }
  U7:
    part: 74HC244
    pins: { 1OE#: SEND#, "1A[1..4]": "M[0..3]", "1Y[1..4]": "D[0..3]", 2OE#: high, "2A[1..4]": low, "2Y[1..4]": open }
  U8:
    part: 74HCT377
    pins: { CLK: CLK, CLKEN#: CS#, "[1..4]D": "D[0..3]", "[5..8]D": low, "[1..4]Q": "T[0..3]", "[5..8]Q": open }
passives:
  R1: { value: 10 kohm, between: [D0, high] }
  R2: { value: 10 kohm, between: [D1, high] }
  R3: { value: 10 kohm, between: [D2, high] }
  R4: { value: 10 kohm, between: [D3, high] }
`;

function circuitOf(text: string): Circuit {
  const { circuit, problems } = readCircuit(text, "depths.yaml", {
    ownParts: { file: "drawer.parts.yaml", text: drawer },
  });
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

function memoryOf(circuit: Circuit) {
  const chip = circuit.chips.find(({ part }) => part.number === "FM2114-200");
  if (!chip) throw new Error("no memory");
  return chip;
}

describe("a memory whose function the drawer describes", () => {
  const board = reader;
  test("is proved with its times", () => {
    const read = prove(circuitOf(board)).verdicts.find(({ name }) => name === "memory read U3 1D");
    // 400 ns at 100 ppm fast; wires of at most 1 ns; 74HC163 52 ns; the drawer's 200 ns.
    const setUp = inNs(read?.required ?? (0 as never));
    expect(inNs(read?.margin ?? (0 as never))).toBeCloseTo(400 / 1.0001 - 1 - 52 - 1 - 200 - 1 - setUp, 3);
    expect(read?.state).toBe("holds");
  });

  test("gives out the words that it is loaded with", () => {
    const circuit = circuitOf(board);
    const chip = circuit.chips.find(({ ref }) => ref === "U2");
    if (!chip) throw new Error("no memory");
    const words = Uint8Array.from({ length: 16 }, (_, n) => (n * 5 + 3) % 16);
    const simulator = start(circuit, { contents: new Map([[chip, words]]), powerUp: "low" });
    const seen = new Set<string>();
    for (let time = 1000; time < 1000 + 16 * 400; time += 400) {
      simulator.run(ns(time));
      const word = (name: string, bits: readonly number[]) =>
        bits
          .map((bit) => letterOf(simulator, `${name}${bit}`))
          .reverse()
          .join("");
      const count = parseInt(word("N", [0, 1, 2, 3]), 2);
      // The register holds what the counter addressed one clock before.
      expect(parseInt(word("T", [0, 1, 2, 3]), 2)).toBe(words[(count + 15) % 16]);
      seen.add(String(count));
    }
    expect(seen.size).toBe(16);
  });

  test("is proved where it is written: each of its write times is asked for, and all hold", () => {
    const { verdicts } = prove(circuitOf(keeper));
    expect(verdicts.filter(({ state }) => state !== "holds").map(({ name }) => name)).toEqual([]);
    const rules = verdicts.flatMap(({ name }) => (/ U6( |$)/.test(name) ? [name.split(" ")[0]] : []));
    expect(rules).toEqual(expect.arrayContaining(["tAS", "tAW", "tCW", "tDH", "tDW", "tWC", "tWR", "pulse"]));
  });

  test("fails where a decoder selects it, whose output may be low for a moment as the count changes", () => {
    const early = keeper.replace("1Q#: CS#", "1Q#: open").replaceAll("SECOND#", "CS#");
    const failed = prove(circuitOf(early)).verdicts.filter(({ state }) => state === "fails");
    expect(failed.map(({ name }) => name)).toEqual(
      expect.arrayContaining(["glitch U6 CS#", "tWR U6 CS#", "tDH U6 IO1 to WE#"]),
    );
  });

  test("keeps what is written, in the timed and in the compiled simulation alike", () => {
    const circuit = circuitOf(keeper);
    const chip = memoryOf(circuit);
    const tables = compileTables(circuit);
    // Slow, so that all is at rest before each edge.
    const oscillator = { period: fs(4e9), high: fs(2e9), start: fs(2e9) };
    const oscillators = new Map([["X1", oscillator]]);
    const before = randomBytes(1024, "depths", 7).map((word) => word % 16);
    const options = { powerUp: "low" as const, contents: new Map([[chip, before]]) };
    const choice = { arcs: new Map(), wires: new Map(), oscillators, otherwise: { seed: 5, spread: "ends" as const } };
    const simulator = new Simulator(tables, chooseDelays(tables, choice), options);
    const machine = new Machine(circuit, { ...options, oscillators });
    const edges = 2 * 16 * 16 + 8;
    const times = Array.from({ length: edges }, (_, edge) => oscillator.start + (edge * oscillator.period) / 2);
    const { disagreement, doubts, compared, changes } = compareRests(circuit, simulator, machine, times, 150e6);
    expect({ disagreement, doubts, compared }).toEqual({ disagreement: undefined, doubts: [], compared: edges });
    expect(changes).toBeGreaterThan(1000);
    // Each of 16 rounds writes its number to two words, the last eight over those of the first eight.
    const after = before.map((word, address) => (address < 16 ? 8 + (address >> 1) : word));
    expect(simulator.memories[0]?.contents).toEqual(after);
    expect(machine.contentsOf(chip)).toEqual(after);
  });
});
