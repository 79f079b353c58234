import { describe, expect, it } from "vitest";
import { EditPlan, Suspicion, faultBenchOf, readObservation, simulateEdits } from "../../src/bench/index.js";
import { spotsOf } from "../../src/bench/faults/spots.js";
import { chaser } from "./chaser.js";
import { disturbs, search } from "./probing.js";
import { randomNumbers } from "../support/random-bits.js";

const bench = faultBenchOf(chaser());
const signatures = simulateEdits(
  bench,
  bench.faults.map(({ edit }) => edit),
);
const suspicion = new Suspicion(bench, signatures);

describe("diagnosis by measuring", () => {
  it("knows what goes wrong on breadboards", () => {
    const kinds = new Set(bench.faults.map(({ kind }) => kind));
    expect(kinds.size).toBe(10);
    expect(new Set(bench.faults.map(({ id }) => id)).size).toBe(bench.faults.length);
    expect(bench.faults.map(({ text }) => text)).toContain("The wire from U2.13 QB to U3.2 1B (Q1) is missing.");
  });

  it("tells what a fault leaves open: outputs that fight, and a loop that swings by itself", () => {
    const pin = (name: string) => bench.board.find(name)?.id ?? -1;
    const wire = bench.board.wires.find(({ to }) => to === pin("U6.2A"));
    const [fight, ring] = simulateEdits(bench, [
      { join: [[pin("U2.QA"), pin("U2.QB")]] },
      { cut: [wire?.id ?? -1], join: [[pin("U6.2A"), pin("U6.2Y")]] },
    ]);
    const node = (name: string) => bench.board.nodeNames.indexOf(name);
    // Bits 0 and 1 of a counter disagree half of the time: the low one wins in the one way, the high one in the other.
    const [low, high] = fight?.readings.at(node("Q0")) ?? [];
    expect(low?.fight).toBeCloseTo(0.5, 1);
    expect(low?.duty).toBeCloseTo(0.25, 1);
    expect(high?.duty).toBeCloseTo(0.75, 1);
    expect(ring?.readings.at(node("SEEN"))?.some(({ rings }) => rings)).toBe(true);
    expect(ring?.readings.at(node("Q0"))?.some(({ rings }) => rings) ?? false).toBe(false);
  });

  it("calls a part in the wrong socket by the family that is there", () => {
    const parts = bench.faults.filter(({ kind }) => kind === "wrong part").map(({ text }) => text);
    expect(parts).toContain("U1 is a 74HC08 instead of a 74HC74.");
    expect(parts.every((text) => / is a 74HC\d+ instead of a 74HC\d+\.$/.test(text))).toBe(true);
  });

  it("takes a wire that is missing, a pin further or touches its neighbour for one place to look at", () => {
    const seen = readObservation(bench.board, "U3.2=open");
    if ("problem" in seen) throw new Error(seen.problem);
    const [first] = suspicion.ranked(suspicion.weigh([seen]));
    expect(first?.faults.map(({ kind }) => kind)).toEqual(expect.arrayContaining(["missing", "misplaced"]));
    const short = bench.faults.find(({ text }) => text === "U3.1 1A and U3.2 1B touch.");
    const moved = bench.faults.find(({ text }) => /Q1\) is in U3\.1 1A instead of U3\.2 1B/.test(text));
    if (!short || !moved) throw new Error("no such faults");
    expect(spotsOf(bench.board, moved)).toEqual(expect.arrayContaining([...spotsOf(bench.board, short)]));
  });

  it("simulates a board once however many faults make it", () => {
    const edits = bench.faults.map(({ edit }) => edit);
    const { boards } = new EditPlan(bench, edits);
    expect(boards.length).toBeLessThan(edits.length);
    const place = (text: string) => bench.faults.findIndex((fault) => fault.text === text);
    const [absent, unpowered] = [
      place("U2, 74HC161, is not in its socket."),
      place("U2 has no ground at its pin 8 GND."),
    ];
    expect(signatures[unpowered]).toBe(signatures[absent]);
  });

  it("finds a wire that disturbs the board among three suspects after at most seven probes in nineteen cases of twenty", () => {
    const numbers = randomNumbers(1);
    const known = new Map<string, number | undefined>();
    const found = bench.faults.flatMap((_, index) => {
      const way = (index % 2) as 0 | 1;
      if (!disturbs(suspicion, index, way)) return [];
      return (
        search(suspicion, bench.faults, index, {
          way,
          most: 7,
          order: "best",
          known,
          noise: () => numbers(1000) / 1000,
        }) ?? []
      );
    });
    expect(found.length).toBeGreaterThan(100);
    expect(found.filter(({ rank }) => rank >= 0 && rank < 3).length / found.length).toBeGreaterThanOrEqual(0.95);
  });

  it("points to a pin with an open input where its wire is missing", () => {
    const seen = readObservation(bench.board, "U3.1B=open");
    if ("problem" in seen) throw new Error(seen.problem);
    const [first] = suspicion.ranked(suspicion.weigh([seen]));
    expect(first?.faults.map(({ text }) => text)).toContain("The wire from U2.13 QB to U3.2 1B (Q1) is missing.");
  });

  it("says what a measurement is to look like", () => {
    expect(readObservation(bench.board, "U2.QA=31.25 kHz 25 %")).toMatchObject({ kind: "frequency", duty: 0.25 });
    expect(readObservation(bench.board, "U2.14=low")).toMatchObject({ kind: "low" });
    for (const wrong of ["U2.14", "U99.1=low", "U2.14=bright", "U2.14=-3 Hz", "U2.14=1e999 Hz", "=", "U2.14=400 %"]) {
      expect(readObservation(bench.board, wrong)).toHaveProperty("problem");
    }
  });
});
