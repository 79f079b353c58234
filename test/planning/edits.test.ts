import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { readFileSync } from "node:fs";
import { type Edit, applyEdits } from "../../src/planning/index.js";

const tideBoard = readFileSync(new URL("../../examples/tide-board.circuit.yaml", import.meta.url), "utf8");

/** The lines that one text has and another has not. */
function linesOnlyIn(one: string, other: string): readonly string[] {
  const known = new Set(other.split("\n"));
  return one.split("\n").filter((line) => !known.has(line));
}

interface Circuit {
  readonly chips: Record<string, { part: string; pins: Record<string, string> }>;
  readonly passives: Record<string, unknown>;
}

const edited = (...edits: readonly Edit[]): string => {
  const text = applyEdits(tideBoard, edits);
  if (text === undefined) throw new Error("no such place");
  return text;
};

describe("an edit of a circuit file", () => {
  test("of a part changes that line alone", () => {
    const text = edited({ kind: "part", chip: "U25", part: "62256-55" });
    expect(linesOnlyIn(text, tideBoard)).toEqual(["    part: 62256-55"]);
    expect((parse(text) as Circuit).chips["U25"]?.part).toBe("62256-55");
  });

  test("of a net keeps the comment behind it", () => {
    const text = edited({ kind: "net", chip: "U2", pin: "1Q", net: "OTHER#" });
    expect((parse(text) as Circuit).chips["U2"]?.pins["1Q"]).toBe("OTHER#");
    const comments = (of: string) => of.split("\n").filter((line) => line.includes("#")).length;
    expect(comments(text)).toBeGreaterThanOrEqual(comments(tideBoard));
  });

  test("of one pin of a list takes it out of the list", () => {
    const before = (parse(tideBoard) as Circuit).chips["U5"]?.pins["ENP, ENT"];
    expect(before).toBe("high");
    const text = edited({ kind: "net", chip: "U5", pin: "ENT", net: "GO" });
    expect((parse(text) as Circuit).chips["U5"]?.pins).toMatchObject({ ENP: "high", ENT: "GO" });
    expect(linesOnlyIn(text, tideBoard)).toEqual(["      ENT: GO"]);
  });

  test("of one pin of a range writes the range out, each pin with its net", () => {
    const text = edited({ kind: "net", chip: "U5", pin: "QC", net: "OTHER" });
    expect(linesOnlyIn(tideBoard, text)).toEqual(["      Q[A..D]: COL[0..3]"]);
    expect((parse(text) as Circuit).chips["U5"]?.pins).toMatchObject({
      QA: "COL0",
      QB: "COL1",
      QC: "OTHER",
      QD: "COL3",
    });
  });

  test("adds a chip after the last and a resistor after the last, and loses no line", () => {
    const text = edited(
      {
        kind: "chip",
        chip: "U40",
        part: "74AHCT74",
        note: "registers WE#",
        pins: { "1D": "WE#", "1PRE#, 1CLR#": "high" },
      },
      { kind: "passive", ref: "R40", value: "10 kohm", between: ["MD0", "high"], note: "holds MD0" },
    );
    expect(linesOnlyIn(tideBoard, text)).toEqual([]);
    const { chips, passives } = parse(text) as Circuit;
    expect(chips["U40"]?.pins).toEqual({ "1D": "WE#", "1PRE#, 1CLR#": "high" });
    expect(passives["R40"]).toMatchObject({ value: "10 kohm" });
  });

  test("that has no place in the text makes none", () => {
    expect(applyEdits(tideBoard, [{ kind: "part", chip: "U99", part: "74HC00" }])).toBeUndefined();
    expect(applyEdits(tideBoard, [{ kind: "net", chip: "U25", pin: "A15", net: "MA4" }])).toBeUndefined();
    expect(applyEdits("title: [", [{ kind: "part", chip: "U1", part: "74HC00" }])).toBeUndefined();
  });
});
