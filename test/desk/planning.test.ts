import { readFile } from "node:fs/promises";
import { expect, test } from "vitest";
import { type Plan, designOf, searchPlans, wishesOf, writeCircuit } from "../../src/planning/index.js";
import { look } from "./look.js";
import { linkWith, newVisitor, openDesk, rewrite, taken, textOf, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");

/** The plans that the search finds for the wishes that the page begins with. */
function plansOfFirstWishes(): readonly Plan[] {
  const texts = { rasters: ["640x480@60"], picture: "320 x 240", sharing: ["write latch" as const] };
  const wishes = wishesOf(texts, (key) => {
    throw new Error(`${key} is misread`);
  });
  return searchPlans(wishes).front;
}

test("a plan is found, written into the editor and proved, and what was under way can be had back", async () => {
  const front = plansOfFirstWishes();
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  await rewrite(page, "Tide lamp", "Lamp under way");
  await turnTo(page, "plan");
  const rows = page.locator(".plans tbody tr");
  await rows.first().waitFor({ timeout: 60_000 });
  expect(await rows.count()).toBe(front.length);
  expect(await look(page, "plan")).toEqual([]);
  await page.setViewportSize({ width: 1440, height: 900 });
  const { bytes } = await taken(page, ".plan .take-away button");
  expect(bytes.toString().split("\r\n")).toHaveLength(front.length + 2);

  const [first] = front;
  const design = first && designOf(first);
  if (!design || "notYet" in design) throw new Error("the first plan cannot be written");
  await page.getByRole("button", { name: "Write the circuit" }).press("Enter");
  await page.locator("h1", { hasText: "Plan 1" }).waitFor();
  const [, ...written] = writeCircuit(design, { title: "Plan 1", about: "Plan 1" }).split("\n");
  // The editor holds only the lines that are in view.
  expect((await textOf(page)).split("\n").slice(1, 20)).toEqual(written.slice(0, 19));
  await page.getByRole("button", { name: "Take tide-lamp.circuit.yaml back" }).click();
  expect(await textOf(page)).toContain("Lamp under way");
});

test("a wish that cannot be read is told where it stands, and what stands in the way of wishes that nothing meets", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  await turnTo(page, "plan");
  await page.locator(".plans").waitFor({ timeout: 60_000 });
  await page.getByLabel("Static RAMs").fill("74HC00");
  await page.getByLabel("Static RAMs").press("Enter");
  await page.getByText("74HC00 is no static RAM").waitFor();
  expect(await page.getByLabel("Static RAMs").getAttribute("aria-invalid")).toBe("true");
  await page.getByLabel("Static RAMs").fill("62256-70");
  await page.getByLabel("Chips at most").fill("20");
  await page.getByRole("button", { name: "Search" }).click();
  await page.getByText(/more chips \(\d+ in place of 20\)/).waitFor();
  expect(await page.getByText(/^too many chips: \d/).count()).toBe(1);
});

test("what mends a board is put into the editor, and what the mended board bears is drawn and told as tables", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp.replace("62256-25", "62256-70")));
  await turnTo(page, "slots");
  await page.getByRole("button", { name: "Look for what mends it" }).press("Enter");
  await page.getByText("after this nothing fails").waitFor({ timeout: 60_000 });
  await page.getByRole("button", { name: "Write it into the editor" }).press("Enter");
  await expect.poll(() => textOf(page)).not.toContain("62256-70");
  await page.locator('.tab[href="#slots"]', { hasText: "Every slot fits" }).waitFor({ timeout: 60_000 });

  await page.getByRole("button", { name: "Try it otherwise" }).click();
  await page.getByText("All was tried.").waitFor({ timeout: 60_000 });
  expect(await page.locator(".plots svg.drawing").count()).toBe(4);
  const said = await page.locator(".known > p", { hasText: "highest oscillator frequency" }).innerText();
  const [, highest = ""] = /holds is ([\d.]+) MHz/.exec(said) ?? [];
  expect(Number(highest)).toBeGreaterThan(8);
  const proved = await page.locator(".plots table").first().locator("td:first-child").allTextContents();
  expect(proved.map(Number)).toContain(8);
  expect(Math.max(...proved.map(Number))).toBeCloseTo(Number(highest), 2);
  expect(await look(page, "slots")).toEqual([]);
});
