import { describe, expect, it } from "vitest";
import { replay, settle } from "../../src/evidence/index.js";
import {
  accountDrawings,
  type CycleDrawing,
  chainDrawing,
  drawCycle,
  report,
  witnessDrawing,
} from "../../src/paper/index.js";
import { prove, type Verdict } from "../../src/timing/index.js";
import { boardFrom } from "./board-fixture.js";
import { mistakesIn } from "./html-mistakes.js";

// A flip-flop of 74HC that feeds its neighbour at 25.175 MHz: 44 ns and 25 ns do not fit into 39.7 ns.
const text = `dotwright: 1
title: Two in a row
supply: 5 V ± 5 %
ambient: 0 to 70 °C
build: breadboard
raster: 640x480@60
chips:
  X1: { part: OSC-25.175MHz, pins: { OUT: DOT } }
  U1:
    part: 74HC74
    pins: { 1CLK: DOT, 1D: B, 1Q: C, 1Q#: B, "1PRE#, 1CLR#": high, 2CLK: DOT, 2D: C, "2Q, 2Q#": open, "2PRE#, 2CLR#": high }
`;

const circuit = boardFrom(text);
const { proof, witnesses } = settle(circuit, prove(circuit));
const timed = proof.verdicts.filter(({ chains }) => chains !== undefined);
const named = (name: string): Verdict => {
  const found = proof.verdicts.find((verdict) => verdict.name === name);
  if (!found) throw new Error(`${name} is not among ${proof.verdicts.map((one) => one.name).join(", ")}`);
  return found;
};
const bracket = (drawing: CycleDrawing | undefined, kind: string) =>
  drawing?.brackets.find((one) => one.kind === kind) ?? { from: NaN, to: NaN, label: "" };

describe("the drawing of how a verdict comes about", () => {
  it.each(timed.map((verdict) => [verdict.name, verdict] as const))(
    "measures what was proved: %s",
    (_name, verdict) => {
      const drawing = chainDrawing(circuit, verdict, proof.period);
      if (verdict.required === undefined || verdict.available === undefined) throw new Error("no time decides");
      const { from, to } = bracket(drawing, "available");
      const isTurned = verdict.available < 0;
      expect(isTurned ? from - to : to - from).toBeCloseTo(verdict.available, -1);
      const margin = bracket(drawing, "margin");
      expect(margin.to - margin.from).toBeCloseTo(Math.abs(verdict.margin ?? NaN), -1);
    },
  );

  it("leads from the clock over the flip-flop to its output", () => {
    const drawing = chainDrawing(circuit, named("set-up U1 2D"), proof.period);
    expect(drawing?.lanes.map(({ name }) => name)).toEqual(["DOT", "C"]);
    expect(drawing?.path?.map(({ fromLane, toLane }) => [fromLane, toLane])).toEqual([["DOT", "C"]]);
    expect(drawing?.path?.[0]?.label).toContain("U1 1CLK to 1Q");
    const labels = drawing ? drawCycle(drawing, "chain").labels.map((label) => label.text) : [];
    expect(labels).toContain("tsu 25 ns");
  });

  it("has every lane filled from end to end, without gaps or overlaps", () => {
    for (const verdict of timed) {
      for (const { segments, edges } of chainDrawing(circuit, verdict, proof.period)?.lanes ?? []) {
        const times = segments.flatMap(({ from, to }, index) => {
          const edge = edges[index];
          return [from, to, ...(edge ? [edge.earliest, edge.latest] : [])];
        });
        expect(times).toEqual([...times].sort((a, b) => a - b));
        expect(times[0]).toBe(0);
      }
    }
  });
});

describe("the drawing of a board on which a failure happens", () => {
  it("measures the same margin as the proof, where the board is the worst", () => {
    const worst = proof.verdicts.filter(({ name, chains }) => chains && witnesses.get(name)?.isWorst);
    expect(worst.map(({ name }) => name)).toContain("set-up U1 2D");
    for (const verdict of worst) {
      const witness = witnesses.get(verdict.name);
      if (!witness) throw new Error("no witness");
      const drawing = witnessDrawing(verdict, witness, replay(circuit, verdict, witness));
      const margin = bracket(drawing, "margin");
      expect(margin.to - margin.from).toBeCloseTo(Math.abs(verdict.margin ?? NaN), -1);
      expect(margin.label).toContain("−");
      expect(drawing.lanes.map(({ name }) => name)).toContain("DOT");
    }
  });
});

describe("the report on a circuit that fails", () => {
  const accounts = accountDrawings(circuit, proof, witnesses);
  const html = report({ circuit, file: "two.yaml", madeBy: "dotwright", accounts });

  it("draws each failure's chains and the board that shows it, worst first", () => {
    expect(accounts[0]?.heading).toContain("set-up U1 2D fails");
    expect(accounts.every(({ heading, board }) => heading.includes("fails") && board !== undefined)).toBe(true);
  });

  it("is valid HTML, with ids of their own for all drawings", async () => {
    expect(await mistakesIn(html)).toEqual([]);
  });

  it("draws the tightest places where all holds", () => {
    const slow = text.replace("25.175", "8");
    const calm = boardFrom(slow);
    const drawn = accountDrawings(calm, prove(calm), new Map());
    expect(drawn.length).toBeGreaterThan(0);
    expect(drawn.every(({ heading, board }) => heading.includes("holds") && board === undefined)).toBe(true);
  });
});
