import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { evaluate, isWell, repaired } from "../planning/repaired.js";

/** Bundled boards that fail, and seconds of processor time for each: what the command allows is 300 s of the clock. */
const boards = [{ name: "tide-board-wide", failing: 150, seconds: 240 }];

test.each(boards)(
  "$name, which fails nearly everywhere, is mended, and what is written holds as a whole",
  { timeout: 3_600_000 },
  async ({ name, failing, seconds }) => {
    const text = readFileSync(new URL(`../../examples/${name}.circuit.yaml`, import.meta.url), "utf8");
    const { repairs, failing: before } = await repaired(text, 60, seconds);
    expect(before).toBeGreaterThan(failing);
    expect(isWell(evaluate(repairs[0]?.text ?? ""))).toBe(true);
  },
);
