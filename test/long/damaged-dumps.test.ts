import { expect, it } from "vitest";
import { compareOnDamagedDumps } from "../support/damaged-dump.js";

it("a reader of value change dumps accepts nothing without a note that the standard's grammar does not have, two hundred thousand times over", () => {
  expect(compareOnDamagedDumps(200_000)).toBeGreaterThan(10_000);
});
