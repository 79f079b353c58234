import { readFile } from "node:fs/promises";
import { expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { underLoad } from "../../src/electrical/index.js";
import { settleExactly } from "../../src/exact/index.js";
import { settle } from "../../src/evidence/index.js";
import { nsText, prove, summary } from "../../src/timing/index.js";
import { answerTo, linkWith, newVisitor, openDesk, rewrite, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

/** A signal and its clock come over gates: what bounds take for its margins no board has. */
const twoWays = await readFile(new URL("two-ways.circuit.yaml", import.meta.url), "utf8");

/** Margins of the table of timing rules, in its order: by bounds, and decided case by case. */
function margins(text: string): { readonly bounds: readonly string[]; readonly decided: readonly string[] } {
  const { circuit } = readCircuit(text, "two-ways.circuit.yaml");
  if (!circuit) throw new Error("the file has mistakes");
  const loaded = underLoad(circuit);
  const { proof } = settle(loaded, prove(loaded), () => true);
  const of = (one: typeof proof) =>
    summary(one).groups.map(({ worst: { margin } }) => (margin === undefined ? "–" : nsText(margin).replace("-", "−")));
  return { bounds: of(proof), decided: of(settleExactly(loaded, proof).proof) };
}

const shown = (page: Awaited<ReturnType<typeof openDesk>>) =>
  page.locator('table[data-takeaway="rules"] td:nth-child(5)').allInnerTexts();

test("what bounds leave open is decided on the desk as on the command line, by a script of its own", async () => {
  const { bounds, decided } = margins(twoWays);
  expect(decided).not.toEqual(bounds);
  const page = await openDesk(await newVisitor(), await linkWith(twoWays, "two-ways.circuit.yaml"));
  await answerTo(page, "slots");
  await turnTo(page, "slots");
  await expect.poll(() => shown(page)).toEqual(decided);
  expect(await page.locator("script[src='thorough.js']").count()).toBe(1);
  // From now on every text goes to the worker that has all of the engines.
  await rewrite(page, "OSC-4MHz", "OSC-8MHz");
  await expect.poll(() => page.locator('.tab[href="#slots"]').innerText()).not.toMatch(/of the text before/);
  await answerTo(page, "slots");
  await expect.poll(() => shown(page)).toEqual(margins(twoWays.replace("OSC-4MHz", "OSC-8MHz")).decided);
});

test("another version is compared with the text: what moved, by how much, and which change did it", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(twoWays, "two-ways.circuit.yaml"));
  await answerTo(page, "slots");
  await turnTo(page, "slots");
  const older = twoWays.replace("part: 74HC08", "part: 74AC08");
  await page.locator("input[data-compare]").setInputFiles({
    name: "older.circuit.yaml",
    mimeType: "application/yaml",
    buffer: Buffer.from(older),
  });
  const compared = page.locator(".compared");
  await compared.getByText("U2: 74AC08 before, 74HC08 now").first().waitFor();
  const text = await compared.innerText();
  expect(text).toMatch(/^From older\.circuit\.yaml to what stands on the left: \d+ verdicts moved, \d+ for the worse/);
  // The hold margin of the late clock is the one that the slower gate moves.
  const row = compared.locator("tr", { hasText: "hold U1 2D" });
  expect(await row.innerText()).toContain("U2: 74AC08 before, 74HC08 now");
  await page.locator("input[data-compare]").setInputFiles({
    name: "same.circuit.yaml",
    mimeType: "application/yaml",
    buffer: Buffer.from(twoWays),
  });
  await compared.getByText(/^same\.circuit\.yaml is the same circuit/).waitFor();
});
