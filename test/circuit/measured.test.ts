import { describe, expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { underLoad } from "../../src/electrical/index.js";
import { type Delay, isMissing } from "../../src/parts/index.js";
import { applyEdits } from "../../src/planning/index.js";
import { inNs, ns, parseTimeRange } from "../../src/quantity/index.js";
import { explain, prove } from "../../src/timing/index.js";
import { circuitOf, lines, read } from "./harbour.js";

/** A fog signal's divider: each flip-flop is toggled by its own turned output, on one clock. */
const fog = `dotwright: 1
title: Fog signal
build: printed board
raster: 640x480@60
picture: {size: 320 x 240, hsync: SLOW, vsync: SLOW2, video: SLOW}
inputs:
  RESET#: { power-up only: low, at least: 1 ms, levels: CMOS }
chips:
  X1: {part: OSC-8MHz, pins: {OUT: CK}}
  U1:
    part: 74HC74
    pins: {"1CLK, 2CLK": CK, 1D: TURNED, 1Q: SLOW, 1Q#: TURNED, 2D: SLOW2#, 2Q: SLOW2, 2Q#: SLOW2#, "1CLR#, 2CLR#": RESET#, "1PRE#, 2PRE#": high}
`;
const measuring = (...entries: readonly string[]) =>
  `${fog}measured:\n${entries.map((entry) => `  - ${entry}\n`).join("")}`;
const rises = (delay: string) => `{chip: U1, from: CLK1, to: 1Q# rise, delay: ${delay}}`.replace("CLK1", "1CLK");
const both = (delay: string) => [rises(delay), rises(delay).replace("rise", "fall")];

const delayOf = (text: string, change: "rise" | "fall" = "rise", output = "1Q#", loaded = false): Delay => {
  const circuit = loaded ? underLoad(circuitOf(text)) : circuitOf(text);
  const figures = circuit.chips.find(({ ref }) => ref === "U1")?.part.figures;
  const found = figures?.delay(`${output.charAt(0)}CLK`, "rise", output, change);
  if (!found || isMissing(found)) throw new Error("no figure");
  return found;
};
const sheet = delayOf(fog);
const marginOf = (text: string) =>
  prove(underLoad(circuitOf(text))).verdicts.find(({ name }) => name === "set-up U1 1D");
const complaints = (text: string) => lines(read(text).problems);

describe("a delay that a builder measured", () => {
  test("narrows the limits of that arc of that chip, and of nothing else", () => {
    const text = measuring(rises("20 ± 2 ns"));
    expect(delayOf(text)).toMatchObject({ min: ns(18), typical: ns(20), max: ns(22), minimumIs: "stated" });
    expect(delayOf(text, "fall")).toEqual(delayOf(fog, "fall"));
    expect(delayOf(text, "rise", "2Q#")).toEqual(delayOf(fog, "rise", "2Q#"));
  });

  test("never widens them: an end beyond the sheet's stays the sheet's, with its source", () => {
    const late = delayOf(measuring(rises(`20 ns to ${inNs(sheet.max) + 30} ns`)));
    expect(late).toMatchObject({ min: ns(20), max: sheet.max, source: sheet.source });
    expect(late.minimumSource).toMatchObject({ publisher: "measured", measured: true });
    const early = delayOf(measuring(rises("0.1 ns to 20 ns")));
    expect(early).toMatchObject({ min: sheet.min, max: ns(20), minimumIs: sheet.minimumIs });
  });

  test("of which two entries are true at once holds within both", () => {
    expect(delayOf(measuring(rises("20 ± 2 ns"), rises("21 to 30 ns")))).toMatchObject({ min: ns(21), max: ns(22) });
  });

  test("adds to a set-up margin just what the sheet's maximum falls by, and is named in the account", () => {
    const [before, after] = [marginOf(fog), marginOf(measuring(...both("20 ± 2 ns")))];
    const slowest = Math.max(delayOf(fog, "rise", "1Q#", true).max, delayOf(fog, "fall", "1Q#", true).max);
    expect((after?.margin ?? 0) - (before?.margin ?? 0)).toBe(slowest - ns(22));
    expect(before?.restsOn).not.toContain("measured");
    expect(after?.restsOn).toContain("measured");
    const account = after && explain(after);
    expect(account?.sources.join()).toContain("measured on U1: 18 ns to 22 ns");
    expect(account?.lines.some(({ mark }) => mark === "measured")).toBe(true);
  });

  test("is what it is under the load that it was measured with, where a sheet's maximum grows", () => {
    const heavy = measuring(rises("20 ± 2 ns")).replace("2D: SLOW2#", "2D: TURNED");
    const inputs = Array.from(
      { length: 4 },
      (_, index) => `  U${index + 2}: {part: 74HC04, pins: {"[1..6]A": TURNED, "[1..6]Y": open}}\n`,
    ).join("");
    const loaded = (text: string) =>
      text.replace("chips:\n", () => `chips:\n${inputs}`).replace("2Q#: SLOW2#", "2Q#: open");
    expect(delayOf(loaded(heavy), "rise", "1Q#", true).max).toBe(ns(22));
    const [plain, one] = [delayOf(loaded(heavy), "fall", "1Q#"), delayOf(loaded(heavy), "fall", "1Q#", true)];
    expect(one.max).toBeGreaterThan(plain.max);
  });

  test("goes with the chip: another part in its place has the sheet's limits again", () => {
    const other = applyEdits(measuring(...both("20 ± 2 ns")), [{ kind: "part", chip: "U1", part: "74AHCT74" }]) ?? "";
    expect(other).not.toContain("measured");
    expect(readCircuit(other, "fog.yaml").problems).toEqual([]);
    const kept = applyEdits(`${measuring(rises("20 ± 2 ns"))}  - {chip: U9, from: A, to: Y rise, delay: 5 ± 1 ns}\n`, [
      { kind: "part", chip: "U1", part: "74AHCT74" },
    ]);
    expect(kept).toMatch(/measured:\n {2}- \{chip: U9/);
  });
});

describe("a measurement is refused, with its line and column,", () => {
  const limits = `at most ${inNs(sheet.max)} ns possible`;

  test("where it and the sheet cannot both be true: both figures and the sheet are named", () => {
    const [late] = complaints(measuring(rises("400 ± 5 ns")));
    expect(late).toContain(`lamp.yaml:14:49: U1 1CLK rise to 1Q# rise: 395 ns to 405 ns measured, but ${limits} (`);
    expect(late).toContain(sheet.source.document);
    expect(complaints(measuring(rises("0.1 ± 0.05 ns")))[0]).toContain(
      "no sheet states it: the file's 'unstated minimum",
    );
  });

  test("where two of the same arc cannot both be true", () => {
    expect(complaints(measuring(rises("20 ± 1 ns"), rises("24 ± 1 ns")))).toEqual([
      expect.stringContaining(
        "lamp.yaml:15:49: U1 1CLK rise to 1Q# rise: 23 ns to 25 ns measured here, but 19 ns to 21 ns in line 14",
      ),
    ]);
  });

  test.each([
    ["without an uncertainty", rises("20 ns"), "14:49: '20 ns' is measured without an uncertainty"],
    ["below zero", rises("1 ± 2 ns"), "14:49: '1 ± 2 ns' is no delay"],
    ["in volts", rises("20 ± 1 V"), "14:49:"],
    [
      "of no chip",
      "{chip: U7, from: 1CLK, to: 1Q rise, delay: 20 ± 1 ns}",
      "14:12: a delay is measured on U7, which is no chip",
    ],
    ["of no pin", "{chip: U1, from: 3CLK, to: 1Q rise, delay: 20 ± 1 ns}", "14:22:"],
    [
      "of an output without its edge",
      "{chip: U1, from: 1CLK, to: 1Q, delay: 20 ± 1 ns}",
      "14:32: '1Q' does not say which edge",
    ],
    [
      "of an arc that the chip has not",
      "{chip: U1, from: 1CLK, to: 2Q rise, delay: 20 ± 1 ns}",
      "14:32: in a 74HC74 no edge of 1CLK makes 2Q rise",
    ],
    [
      "of the other edge of a clock",
      "{chip: U1, from: 1CLK fall, to: 1Q rise, delay: 20 ± 1 ns}",
      "14:37: in a 74HC74 no fall of 1CLK makes 1Q rise",
    ],
  ])("%s", (_, entry, expected) => {
    expect(complaints(measuring(entry))).toEqual([expect.stringContaining(expected)]);
  });

  test("where either edge of an exclusive or's input may be meant", () => {
    const gate =
      "  U2: {part: 74HC86, pins: {1A: SLOW, 1B: SLOW2, 1Y: open, '2A, 2B, 3A, 3B, 4A, 4B': low, '[2..4]Y': open}}\n";
    const text = fog.replace("chips:\n", () => `chips:\n${gate}`);
    const entry = (from: string) => `${text}measured:\n  - {chip: U2, from: ${from}, to: 1Y rise, delay: 9 ± 1 ns}\n`;
    expect(complaints(entry("1A"))).toEqual([expect.stringContaining("either edge of U2 1A can make 1Y rise")]);
    expect(complaints(entry("1A fall")).filter((line) => !line.includes("warning"))).toEqual([]);
  });
});

test("a time with its uncertainty is read exactly, the unit on either number", () => {
  expect(parseTimeRange("11.2 ± 0.8 ns")).toEqual({ value: { min: 10_400_000, max: 12_000_000 } });
  expect(parseTimeRange("11.2 ns +- 800 ps")).toEqual({ value: { min: 10_400_000, max: 12_000_000 } });
  expect(parseTimeRange("10.4 to 12 ns")).toEqual({ value: { min: 10_400_000, max: 12_000_000 } });
  expect(parseTimeRange("20 ns ± 5 %")).toEqual({ value: { min: 19_000_000, max: 21_000_000 } });
  expect(parseTimeRange("12 to 10 ns")).toHaveProperty("wrong");
});
