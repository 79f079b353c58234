import { describe, expect, test } from "vitest";
import { EITHER, HIGH, LOW, UNDRIVEN, asRead, describeLevels, isKnown } from "../../src/timing/level-set.js";

const all = Array.from({ length: 7 }, (_, index) => index + 1);

describe("what is known of a level", () => {
  test("is one of three, or any of several", () => {
    expect(all.filter(isKnown)).toEqual([LOW, HIGH, UNDRIVEN]);
    expect(LOW | HIGH).toBe(EITHER);
  });

  test("an input that nothing drives may read as either level, a driven one as what it is", () => {
    expect([LOW, HIGH, EITHER].map(asRead)).toEqual([LOW, HIGH, EITHER]);
    for (const set of all.filter((one) => one & UNDRIVEN)) expect(asRead(set)).toBe(EITHER);
  });

  test("is written as 0, 1 and Z", () => {
    expect(all.map(describeLevels)).toEqual(["0", "1", "0/1", "Z", "0/Z", "1/Z", "0/1/Z"]);
  });
});
