import { expect, test } from "vitest";
import { compareBuses } from "../support/found-in.js";

const CIRCUITS = 3;

test(
  "what is proved of one bit of a bus is true of every bit like it, and of none that is unlike it",
  { timeout: 180_000 },
  () => {
    const { differ, left, places } = compareBuses(7, CIRCUITS);
    expect(differ).toEqual([]);
    expect(left).toBeGreaterThan(10 * CIRCUITS);
    expect(places).toBeGreaterThan(40 * CIRCUITS);
  },
);
