import { readFile } from "node:fs/promises";
import { expect, test } from "vitest";
import {
  deskFile,
  linkWith,
  newVisitor,
  openDesk,
  rewrite,
  standing,
  textOf,
  turnTo,
  useBrowser,
} from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");

test("a text under way is there again after a reload, and after the page was closed", async () => {
  const visitor = await newVisitor();
  const page = await openDesk(visitor, await linkWith(lamp));
  await rewrite(page, "Tide lamp", "Lamp under way");
  await page.reload();
  await standing(page);
  expect(await textOf(page)).toContain("Lamp under way");
  await page.close();
  const again = await openDesk(visitor, deskFile);
  expect(await textOf(again)).toContain("Lamp under way");
  expect(await again.locator(".file").innerText()).toContain("tide-lamp.circuit.yaml, not saved");
});

test("two pages never write over each other's text", async () => {
  const visitor = await newVisitor();
  const [one, two] = [await openDesk(visitor, await linkWith(lamp)), await openDesk(visitor, await linkWith(lamp))];
  await rewrite(one, "Tide lamp", "First lamp");
  await rewrite(two, "Tide lamp", "Second lamp");
  for (const page of [one, two]) {
    await page.reload();
    await standing(page);
  }
  expect(await textOf(one)).toContain("First lamp");
  expect(await textOf(two)).toContain("Second lamp");
});

test("a link carries the whole circuit, and leaves what is under way alone", async () => {
  const visitor = await newVisitor({ permissions: ["clipboard-read", "clipboard-write"] });
  const page = await openDesk(visitor, await linkWith(lamp));
  await rewrite(page, "Tide lamp", "Lamp to share");
  const text = await textOf(page);
  await page.getByRole("button", { name: "Copy a link" }).click();
  await expect.poll(() => page.locator("#notice").innerText()).toContain("The link is copied");
  const link = await page.evaluate(() => navigator.clipboard.readText());
  expect(link).toMatch(/index\.html#circuit=[\w-]+$/);
  const reader = await openDesk(await newVisitor(), link);
  expect(await textOf(reader)).toBe(text);
  expect(reader.url()).not.toContain("circuit=");
  await page.close();
  await openDesk(visitor, await linkWith(lamp.replace("Tide lamp", "Another lamp")));
  expect(await textOf(await openDesk(visitor, deskFile))).toContain("Lamp to share");
});

test("a damaged link is told, and the example opens", async () => {
  const page = await openDesk(await newVisitor(), (await linkWith(lamp)).slice(0, -20));
  await expect.poll(() => page.locator("#notice").innerText()).toContain("The link is damaged");
  expect(await textOf(page)).toContain("tide board");
});

test("ticked wires are ticked after a reload, and counted", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  await turnTo(page, "wiring");
  const boxes = page.locator("input[data-wire]");
  await boxes.nth(0).check();
  await boxes.nth(2).check();
  const all = await boxes.count();
  expect(await page.locator(".ticked").innerText()).toBe(`2 of ${all} done.`);
  await page.reload();
  await standing(page);
  await boxes.first().waitFor();
  expect(await page.locator(".ticked").innerText()).toBe(`2 of ${all} done.`);
  expect(await Promise.all([0, 1, 2].map((n) => boxes.nth(n).isChecked()))).toEqual([true, false, true]);
});

test("a page prints to paper without the editor and what is only pressed", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  await turnTo(page, "wiring");
  const printed = await page.pdf({ format: "A4" });
  expect(printed.subarray(0, 5).toString("latin1")).toBe("%PDF-");
  await page.emulateMedia({ media: "print" });
  for (const part of ["#text", "#tabs", ".deeds", ".take-away"]) {
    expect(await page.locator(part).first().isVisible()).toBe(false);
  }
  expect(await page.locator("#page-content table").first().isVisible()).toBe(true);
  // Nothing is cut off at the right edge of the paper.
  const [content, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  expect(content).toBeLessThanOrEqual(room ?? 0);
});
