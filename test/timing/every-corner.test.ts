import { expect, test } from "vitest";
import { tallyCorners } from "../support/every-corner.js";

const BOARDS = 400;

test("no board at any corner of its delays beats a proved margin, and nearly every margin is that of a board", () => {
  const { beaten, boards, margins, whole, attained } = tallyCorners(1, BOARDS);
  expect(beaten).toEqual([]);
  expect(boards).toBeGreaterThanOrEqual(BOARDS);
  expect(whole).toBeGreaterThan(0.8 * margins);
  expect(attained).toBeGreaterThan(0.9 * margins);
});
