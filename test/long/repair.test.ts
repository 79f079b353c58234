import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { evaluate, failing, isWell, repaired } from "../planning/repaired.js";
import { someSpoilings } from "../planning/spoiling.js";

/**
 * Boards that hold, how many ways of spoiling each are tried, and the proofs and seconds that each may take: two small ones, and
 * bundled ones with pictures, of which a proof takes a hundred times as long.
 */
const boards = [
  { name: "test/planning/gong", count: 80, proofs: 80, seconds: 120 },
  { name: "test/planning/light-buoy", count: 60, proofs: 80, seconds: 120 },
  { name: "examples/tide-board", count: 12, proofs: 40, seconds: 300 },
  { name: "examples/order-board", count: 12, proofs: 40, seconds: 300 },
  { name: "examples/star-board", count: 12, proofs: 40, seconds: 300 },
  { name: "examples/garden-board", count: 12, proofs: 40, seconds: 300 },
  { name: "examples/bowling-board", count: 12, proofs: 40, seconds: 300 },
] as const;

/** The least share of all that is mended. */
const SHARE = 0.95;

describe("the repairer, which never sees the circuit before it was spoilt", { timeout: 7_200_000 }, () => {
  const left: string[] = [];
  let [tried, wiring] = [0, 0];

  test.each(boards)("mends what it says of $count ways of spoiling $name", async ({ name, count, proofs, seconds }) => {
    const text = readFileSync(new URL(`../../${name}.circuit.yaml`, import.meta.url), "utf8");
    const spoilt = failing(someSpoilings(text, 1), count);
    expect(spoilt.length).toBe(count);
    for (const { kind, what, text: one } of spoilt) {
      const [best] = (await repaired(one, proofs, seconds)).repairs;
      if (!best) left.push(`${name}: ${kind} ${what}`);
      // What is called mended is proved anew, as a whole.
      else expect(isWell(evaluate(best.text))).toBe(true);
      tried++;
      if (kind !== "slower part") wiring++;
    }
  });

  test("mends at least 95 of 100 of them, at least half of which change the wiring", () => {
    expect(wiring).toBeGreaterThanOrEqual(tried / 2);
    expect(left.length, left.join("; ")).toBeLessThanOrEqual((1 - SHARE) * tried);
  });
});
