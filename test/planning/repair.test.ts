import { describe, expect, test } from "vitest";
import { evaluate, repaired } from "./repaired.js";

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 180_000 }, () => {
  test("finds nothing to do where nothing fails", async () => {
    const { result } = await repaired([]);
    expect(result).toMatchObject({ repairs: [], proofs: 1, tried: [] });
  });

  test("finds a faster part for one that is too slow, without a chip more", async () => {
    const { spoilt, best } = await repaired([{ kind: "part", chip: "U5", part: "74HC174" }]);
    expect(evaluate(spoilt).failing.length).toBeGreaterThan(0);
    expect(best?.changes.map(({ kind, chips }) => ({ kind, chips }))).toEqual([{ kind: "part", chips: 0 }]);
    expect(evaluate(best?.text ?? "").failing).toEqual([]);
  });
});
