import { describe, expect, it } from "vitest";
import type { Circuit } from "../../src/circuit/index.js";
import { compareJudgements, judge, silentProgress } from "../../src/judging/index.js";
import { boardFrom } from "../paper/board-fixture.js";

const board = (changes: Readonly<Record<string, string>> = {}): Circuit => {
  let text = `dotwright: 1
title: Two in a row
supply: 5 V ± 5 %
ambient: 0 to 70 °C
build: breadboard
raster: 640x480@60
chips:
  X1: { part: OSC-8MHz, pins: { OUT: DOT } }
  U1:
    part: 74HC74
    pins: { 1CLK: DOT, 1D: B, 1Q: C, 1Q#: B, "1PRE#, 1CLR#": high, 2CLK: DOT, 2D: E, "2Q, 2Q#": open, "2PRE#, 2CLR#": high }
  U2:
    part: 74HC04
    pins: { 1A: C, 1Y: D, 2A: D, 2Y: E, "3A, 4A, 5A, 6A": low, "3Y, 4Y, 5Y, 6Y": open }
`;
  for (const [from, to] of Object.entries(changes)) {
    if (!text.includes(from)) throw new Error(`${from} is not in the text`);
    text = text.replaceAll(from, to);
  }
  return boardFrom(text);
};

const compared = async (changes: Readonly<Record<string, string>>) =>
  compareJudgements(await judge(board(), silentProgress), await judge(board(changes), silentProgress));

describe("two versions of a circuit beside each other", () => {
  it("are the same where nothing changed", async () => {
    const { changes, moved, unmoved } = await compared({});
    expect(changes).toEqual([]);
    expect(moved).toEqual([]);
    expect(unmoved).toBeGreaterThan(10);
  });

  it("name the part that changed beside every margin on whose way it is", async () => {
    const { changes, moved } = await compared({ "74HC04": "74AHC04" });
    expect(changes.map(({ text }) => text)).toEqual(["U2: 74HC04 before, 74AHC04 now"]);
    const setUp = moved.find(({ name }) => name === "set-up U1 2D");
    expect(setUp?.moved?.amount).toBe((setUp?.marginAfter?.amount ?? NaN) - (setUp?.marginBefore?.amount ?? NaN));
    expect(setUp?.moved?.amount).toBeGreaterThan(0);
    expect(setUp).toMatchObject({ isWorse: false, because: changes });
    const hold = moved.find(({ name }) => name === "hold U1 2D");
    expect(hold).toMatchObject({ isWorse: true, because: changes });
  });

  it("tell what fails now and held before first", async () => {
    const { changes, moved } = await compared({ "OSC-8MHz": "OSC-16MHz" });
    expect(changes.map(({ text }) => text)).toEqual(["X1: OSC-8MHz before, OSC-16MHz now"]);
    expect(moved[0]).toMatchObject({ before: "holds", after: "fails", isWorse: true });
    const setUps = moved.filter(({ name }) => name.startsWith("set-up"));
    expect(setUps.map(({ name, after }) => [name, after])).toEqual([
      ["set-up U1 1D", "fails"],
      ["set-up U1 2D", "fails"],
    ]);
  });

  it("compare the level of a net with that of the same net under another family", async () => {
    const { moved } = await compared({ "74HC04": "74LS04" });
    const level = moved.find(({ name }) => name.startsWith("high level E"));
    expect(level).toMatchObject({ name: "high level E LS to HC", before: "holds", after: "fails", isWorse: true });
    expect(level?.marginBefore?.amount).toBeGreaterThan(0);
    expect(level?.marginAfter?.amount).toBeLessThan(0);
  });

  it("see a pin on another net, and verdicts that are new or gone", async () => {
    const { changes, moved } = await compared({ "2D: E": "2D: C" });
    expect(changes.map(({ text }) => text)).toEqual(["U1 2D: E before, C now"]);
    const setUp = moved.find(({ name }) => name === "set-up U1 2D");
    expect(setUp?.because).toEqual(changes);
    expect(setUp?.moved?.amount).toBeGreaterThan(0);
  });

  it("see what concerns the whole board", async () => {
    const { changes } = await compared({ "5 V ± 5 %": "5 V ± 10 %", breadboard: "printed board" });
    expect(changes.map(({ text }) => text)).toEqual([
      "supply: main 4.75 to 5.25 V before, main 4.5 to 5.5 V now",
      "build: breadboard before, printed board now",
    ]);
  });
});
