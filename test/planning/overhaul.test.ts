import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { evaluate, isWell, repaired } from "./repaired.js";

const gong = readFileSync(new URL("gong.circuit.yaml", import.meta.url), "utf8");

/** The board with all its chips of 74HC and a clock of so many megahertz in place of 8. */
function slow(megahertz: number): string {
  return gong.replaceAll(/74(ACT|AHCT)(\d+)/g, "74HC$2").replace("OSC-8MHz", `OSC-${megahertz}MHz`);
}

test("a board of 74HC at three times its clock, of which many parts are too slow, gets others for several chips at once", async () => {
  const text = slow(25);
  expect(evaluate(text).failing.length).toBeGreaterThan(20);
  const { repairs, proofs } = await repaired(text);
  const [best] = repairs;
  expect(best && isWell(best.evaluation)).toBe(true);
  expect(proofs).toBeLessThan(25);
  expect(best?.changes.length).toBeGreaterThanOrEqual(3);
  // What is written is what was proved, and no comment is lost.
  expect(isWell(evaluate(best?.text ?? ""))).toBe(true);
  const comments = (of: string) => of.match(/ # .*|^ *# .*/gm) ?? [];
  expect(comments(best?.text ?? "").map((one) => one.trim())).toEqual(comments(text).map((one) => one.trim()));
});
