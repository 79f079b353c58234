import { expect, test } from "vitest";
import { compareBuses } from "../support/found-in.js";

const CIRCUITS = 5;

test("what is proved of one bit of a bus is true of every bit like it, and of none that is unlike it", () => {
  const { differ, left, places } = compareBuses(5, CIRCUITS);
  expect(differ).toEqual([]);
  expect(left).toBeGreaterThan(10 * CIRCUITS);
  expect(places).toBeGreaterThan(40 * CIRCUITS);
});
