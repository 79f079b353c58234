import { describe, expect, test } from "vitest";
import { type Fs, ns } from "../../src/quantity/index.js";
import { type Verdict, prove, summary } from "../../src/timing/index.js";
import { groupsOf, rangeText, worstFirst } from "../../src/verdict/index.js";
import { nsText } from "../../src/timing/ns-text.js";
import { quick, twoRegisters } from "./verdict-fixture.js";

/** A verdict of which only what a summary reads matters. */
function verdict(head: string, item: string, margin: number | undefined, more: Partial<Verdict> = {}): Verdict {
  const state = margin === undefined ? "not covered" : margin < 0 ? "fails" : "holds";
  return {
    name: `${head} ${item}`,
    nameParts: { head, item, tail: "" },
    rule: "set-up",
    symbol: "tsu",
    chip: "U1",
    part: "74HC574",
    pin: item,
    net: item,
    reference: "CLK",
    state,
    ...(margin !== undefined && { required: ns(1), available: ns(1 + margin), margin: ns(margin) }),
    missing: [],
    count: 1,
    source: "",
    restsOn: [],
    note: "",
    ...more,
  };
}

const answerTo = (...verdicts: readonly Verdict[]) => summary({ verdicts: worstFirst(verdicts) }).answer;

describe("pins of one chip stand on one line", () => {
  test.each([
    [["A2", "A0", "A10", "A1"], "A0..A2, A10"],
    [["1D", "2D", "3D", "4D"], "1D..4D"],
    [["QA", "QB", "QC", "QD"], "QA..QD"],
    [["H", "G", "F"], "F..H"],
    [["1Y1", "1Y2", "1Y3", "2Y1", "2Y2", "2Y3"], "1Y1..1Y3, 2Y1..2Y3"],
    [["D", "LOAD#"], "D, LOAD#"],
    [["A", "CE#", "OE#", "SER", "WE#"], "A, CE#, OE# and 2 more"],
    [["CLK"], "CLK"],
  ])("%j reads %s", (names, text) => {
    expect(rangeText(names)).toBe(text);
  });

  test("fifteen address pins are one group, whose worst comes first", () => {
    const pins = Array.from({ length: 15 }, (_, n) => verdict("tAS U25", `A${n}`, n === 7 ? 0.5 : 3 + n));
    const groups = groupsOf(worstFirst(pins));
    expect(groups.map(({ label, verdicts, worst }) => [label, verdicts.length, worst.name])).toEqual([
      ["tAS U25 A0..A14", 15, "tAS U25 A7"],
    ]);
  });

  test("pins that fail, pins that hold and pins whose failure is accepted are groups of their own, the worst first", () => {
    const groups = groupsOf(
      worstFirst([
        verdict("hold U7", "1D", 2),
        verdict("hold U7", "2D", -2, { accepted: { reason: "measured", margin: ns(-3), lapsed: false } }),
        verdict("hold U7", "3D", -1),
        verdict("hold U7", "4D", undefined),
      ]),
    );
    expect(groups.map(({ state, label }) => [state, label])).toEqual([
      ["fails", "hold U7 3D"],
      ["not covered", "hold U7 4D"],
      ["accepted", "hold U7 2D"],
      ["holds", "hold U7 1D"],
    ]);
  });
});

describe("the answer is one sentence", () => {
  test("all hold", () => {
    expect(answerTo(verdict("set-up U4", "4D", 1.3), verdict("set-up U4", "5D", 2), verdict("hold U4", "4D", 9))).toBe(
      "Every slot fits: 2 rules at 3 places hold; the worst margin is 1.30 ns, set-up U4 4D.",
    );
  });

  test("some fail", () => {
    expect(answerTo(verdict("set-up U4", "4D", -12.4), verdict("hold U4", "4D", -1), verdict("hold U4", "5D", 9))).toBe(
      "2 of 3 checks fail, the worst by 12.40 ns: set-up U4 4D.",
    );
  });

  test("what is not covered is never passed over", () => {
    expect(answerTo(verdict("hold U9", "ENP", undefined), verdict("hold U4", "5D", 9))).toBe(
      "Not known: of 2 checks 1 is not covered, first hold U9 ENP.",
    );
    expect(answerTo(verdict("hold U9", "ENP", undefined), verdict("hold U4", "5D", -9))).toBe(
      "1 of 2 checks fails, the worst by 9.00 ns: hold U4 5D; 1 is not covered.",
    );
  });

  test("a failure that is accepted is told, and counts again when it has lapsed", () => {
    const accepted = (lapsed: boolean) =>
      verdict("hold U7", "2D", -2, { accepted: { reason: "measured", margin: ns(-3), lapsed } });
    expect(answerTo(accepted(false), verdict("hold U4", "5D", 9))).toBe(
      "Every slot fits: 2 rules at 2 places hold; the worst margin is 9.00 ns, hold U4 5D; 1 failure is accepted.",
    );
    expect(answerTo(accepted(true))).toBe("1 of 1 checks fails, the worst by 2.00 ns: hold U7 2D.");
  });

  test("nothing to prove is no proof", () => {
    const { answer, state } = summary({ verdicts: [] });
    expect(answer).toBe("Not known: there is nothing to prove in this circuit.");
    expect(state).toBe("not covered");
  });
});

test("a summary shows everything that does not hold and the tightest group of each rule", () => {
  const proof = prove(twoRegisters({ period: 26, second: { ...quick, hold: 9 } }));
  const { groups, hidden } = summary(proof);
  const held = groups.filter(({ state }) => state === "holds");
  expect(new Set(held.map(({ worst }) => worst.rule)).size).toBe(held.length);
  const bad = groups.flatMap(({ state, verdicts }) => (state === "holds" ? [] : verdicts));
  expect(bad.length).toBe(proof.verdicts.filter(({ state }) => state !== "holds").length);
  expect(bad.length).toBeGreaterThan(3);
  expect(groups.length + hidden).toBe(groupsOf(proof.verdicts).length);
});

test("a shortfall too small for two decimals does not read as nothing", () => {
  expect(nsText(-1 as Fs)).toBe("-0.01");
  expect(nsText(0 as Fs)).toBe("0.00");
  expect(nsText(ns(12.4))).toBe("12.40");
});
