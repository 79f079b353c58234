import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { formatProblem, readCircuit } from "../../src/circuit/index.js";
import { fs, inNs } from "../../src/quantity/index.js";
import { changed } from "./processor-board.js";

const lamps = readFileSync(new URL("../../examples/harbour-lamps.circuit.yaml", import.meta.url), "utf8");

/** The findings of the harbour lamps' processor, by what they are about. */
function findings(...changes: readonly (readonly [from: string, to: string])[]) {
  const { circuit, problems } = readCircuit(changed(lamps, ...changes), "lamps");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return new Map(circuit.masters[0]?.findings.map((finding) => [finding.item, finding]));
}

describe("what a processor reads", () => {
  test("comes too late where the memory is too slow for its clock", () => {
    const found = findings(["part: Z84C0006", "part: Z84C0020"], ["OSC-4MHz", "OSC-10MHz"]).get("reads");
    // Zilog PS017801-0602, 20 MHz grade: 2 TcC - TdCr(A) - TsD(Cr) = 200 - 57 - 12; 27C256-150: 150 ns; two wires of 1 ns.
    expect(found).toMatchObject({ state: "fails" });
    expect(found?.reference).toMatch(/^A\d+$/);
    expect(inNs(found?.margin ?? fs(0))).toBeCloseTo(200 - 57 - 12 - 150 - 2, 3);
    expect(found?.note).toContain("too late");
  });

  test("is not judged where a flip-flop chooses what it is, and what a flip-flop holds is read as it is", () => {
    const bank = findings([
      "A[0..14]: PA[0..14]\n      O[0..7]",
      "A[0..13]: PA[0..13]\n      A14: LAMP1\n      O[0..7]",
    ]).get("reads");
    expect(bank).toMatchObject({ state: "not covered" });
    expect(bank?.note).toContain("LAMP1");
    expect(
      findings(
        ["1A[2..4], 2A[1..4]: low", "1A2: LAMP1\n      1A[3..4], 2A[1..4]: low"],
        ["1Y[2..4], 2Y[1..4]: open", "1Y2: PD1\n      1Y[3..4], 2Y[1..4]: open"],
      ).get("reads")?.state,
    ).toBe("holds");
  });

  test("is not judged where a pin without times chooses it", () => {
    const found = findings(
      ["G2B#: low", "G2B#: M1#"],
      ["M1#, IORQ#", "IORQ#"],
      ["MREQ#: MREQ#", "MREQ#: MREQ#\n      M1#: M1#"],
    );
    expect(found.get("reads")).toMatchObject({ state: "not covered" });
    expect(found.get("reads")?.note).toContain("M1# of U1");
    expect(found.get("LAMP_WRITE#")).toMatchObject({ state: "not covered" });
  });

  test("is let go of too late where a slow memory meets a fast clock, and nothing tells where RD# does not switch it off", () => {
    const late = findings(["part: Z84C0006", "part: Z84C0010"], ["OSC-4MHz", "OSC-10MHz"]).get("hand-over");
    // T - TdCf(RDr) = 100 - 55 ns; the decoder 10.9, tHZOE 40, two wires.
    expect(late).toMatchObject({ state: "fails" });
    expect(inNs(late?.margin ?? fs(0))).toBeCloseTo(100 - 55 - 10.9 - 40 - 2, 3);
    const always = findings(
      ["A: RD#\n", "A: low\n"],
      ["Y5#: LAMP_WRITE#\n      Y6#: SENSOR#", "Y6#: SENSOR#\n      Y5#: open"],
      ["Y0#, Y1#, Y3#, Y4#, Y7#: open", "Y0#, Y1#, Y3#, Y7#: open\n      Y4#: LAMP_WRITE#"],
      ["      RD#: RD#", "      RD#: open"],
    );
    expect(always.get("hand-over")).toMatchObject({ state: "not covered" });
  });
});
