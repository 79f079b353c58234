import { describe, expect, test } from "vitest";
import { checkNetName, expandNames, railOf } from "../../src/circuit/names.js";

function namesIn(text: string): readonly string[] {
  const { names, complaints } = expandNames(text);
  expect(complaints).toEqual([]);
  return names.map(({ name }) => name);
}

describe("names with commas and ranges", () => {
  test.each([
    ["CLK", ["CLK"]],
    ["2D, 2CLK,2PRE#", ["2D", "2CLK", "2PRE#"]],
    ["VA[0..3]", ["VA0", "VA1", "VA2", "VA3"]],
    ["VA[3..0]", ["VA3", "VA2", "VA1", "VA0"]],
    ["[1..3]D", ["1D", "2D", "3D"]],
    ["[1..2]OE#", ["1OE#", "2OE#"]],
    ["Q[A..D]", ["QA", "QB", "QC", "QD"]],
    ["VA[3]", ["VA3"]],
    ["CS[ 0 .. 1 ]#", ["CS0#", "CS1#"]],
    ["GATE, VA[9..11]", ["GATE", "VA9", "VA10", "VA11"]],
  ])("%s stands for its members in order", (text, names) => {
    expect(namesIn(text)).toEqual(names);
  });

  test.each([
    ["VA[0..3", "its brackets do not match"],
    ["VA]0..3[", "its brackets do not match"],
    ["VA[0..1][0..1]", "its brackets do not match"],
    ["VA[0..a]", "its ends are not two numbers or two capital letters"],
    ["VA[..3]", "its ends are not two numbers or two capital letters"],
    ["VA[-1..3]", "its ends are not two numbers or two capital letters"],
    ["VA[0..1..2]", "it has more than two ends"],
  ])("%s is no range", (text, why) => {
    expect(expandNames(text).complaints).toMatchObject([{ complaint: { message: `'${text}' is no range: ${why}` } }]);
  });

  test("each name knows where in the text it stands", () => {
    expect(expandNames(" 2D ,  VA[0..1]").names).toEqual([
      { name: "2D", from: 1, to: 3 },
      { name: "VA0", from: 7, to: 15 },
      { name: "VA1", from: 7, to: 15 },
    ]);
  });

  test("a mistake in one name leaves the others", () => {
    const { names, complaints } = expandNames("A, , B[x], C");
    expect(names.map(({ name }) => name)).toEqual(["A", "C"]);
    expect(complaints.map(({ from, to }) => [from, to])).toEqual([
      [3, 3],
      [5, 9],
    ]);
  });
});

describe("names of nets", () => {
  test.each(["DOT", "WR#", "VA14", "_x", "R.1", "D+", "D-", "a_b"])("%s may be the name of a net", (name) => {
    expect(checkNetName(name)).toBeUndefined();
  });

  test.each(["", "1A", "#WR", "A B", "A[0]", "A=B", "-A", "Ä", "A".repeat(65)])("'%s' may not", (name) => {
    expect(checkNetName(name)?.code).toBe("bad-name");
  });

  test.each([
    ["HIGH", "high"],
    ["Vdd", "high"],
    ["Gnd", "low"],
    ["Open", "open"],
  ])("%s is taken for a slip of %s", (name, suggestion) => {
    expect(checkNetName(name)).toMatchObject({ suggestion });
  });

  test("VCC and GND are other words for the rails", () => {
    expect(["high", "VCC", "low", "GND", "DOT", "constructor"].map(railOf)).toEqual([
      "high",
      "high",
      "low",
      "low",
      undefined,
      undefined,
    ]);
  });
});
