import { mkdir, readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { Question } from "../../src/desk/protocol.js";
import { answerTo, deskFile, linkWith, newVisitor, openDesk, serve, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const folder = new URL("../../out/desk-pictures/", import.meta.url);
const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");
const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** What the accessibility rules of WCAG 2.2 AA find on a page, each with where. */
async function faults(page: Page, colorScheme: "light" | "dark"): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  // Only contrast depends on the colours.
  const runOnly = colorScheme === "light" ? rules : { type: "rule", values: ["color-contrast"] };
  const { violations } = await page.evaluate((runOnly) => {
    const { axe } = window as unknown as { axe: { run(where: Document, how: unknown): Promise<AxeResults> } };
    return axe.run(document, { runOnly, resultTypes: ["violations"], preload: false });
  }, runOnly);
  return violations.map(({ id, nodes: [first, ...more] }) => {
    const where = first?.target.join(" ") ?? "";
    return `${id} at ${where} and ${more.length} more: ${first?.failureSummary ?? ""}`;
  });
}

/** What runs out of the page sideways, outside of what is there to be scrolled. */
async function overhanging(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    if (document.documentElement.scrollWidth <= innerWidth) return [];
    const all = [...document.querySelectorAll("body *")];
    const over = all.filter(
      (element) => !element.closest(".scrolling > *, svg *") && element.getBoundingClientRect().right > innerWidth + 1,
    );
    return over.map((element) => element.outerHTML.slice(0, 120));
  });
}

/** Looks at a page on a wide and on a narrow screen, light and dark, leaves pictures of it, and returns what is amiss. */
async function look(page: Page, question: Question): Promise<string[]> {
  const amiss: string[] = [];
  await turnTo(page, question);
  await mkdir(folder, { recursive: true });
  for (const width of [1440, 360]) {
    await page.setViewportSize({ width, height: 900 });
    for (const colorScheme of ["light", "dark"] as const) {
      await page.emulateMedia({ colorScheme });
      const name = `${question}-${width}-${colorScheme}`;
      const found = [...(await overhanging(page)), ...(await faults(page, colorScheme))];
      amiss.push(...found.map((fault) => `${name}: ${fault}`));
      await page.screenshot({ path: new URL(`${name}.png`, folder).pathname, fullPage: true });
    }
  }
  return amiss;
}

test("the pages of the picture are legible, operable and within their room, light and dark, wide and narrow", async () => {
  const page = await openDesk(await newVisitor(), deskFile);
  await answerTo(page, "lock");
  expect(await look(page, "lock")).toEqual([]);
  await page.setViewportSize({ width: 1440, height: 900 });
  await turnTo(page, "picture");
  await page.locator(".live canvas").waitFor();
  expect(await look(page, "picture")).toEqual([]);
});

test("the page of filling is legible, operable and within its room, light and dark, wide and narrow", async () => {
  const page = await openDesk(await newVisitor(), deskFile);
  await turnTo(page, "fill");
  await page.getByRole("button", { name: "Send it" }).click({ timeout: 120_000 });
  await page.getByText(/bytes are sent/).waitFor({ timeout: 60_000 });
  expect(await look(page, "fill")).toEqual([]);
});

test("the pages of verdicts and of wires are legible, operable and within their room, light and dark, wide and narrow", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp.replace("62256-25", "62256-70")));
  await answerTo(page, "slots");
  expect(await look(page, "wiring")).toEqual([]);
  await turnTo(page, "slots");
  await page.getByRole("button", { name: /^memory read U3/ }).press("Enter");
  await page.locator(".chosen h3").first().waitFor();
  expect(await look(page, "slots")).toEqual([]);
});

test("the keyboard alone reaches everything that can be pressed, and every stop shows where it is", async () => {
  const { server } = await serve(lamp);
  const page = await openDesk(await newVisitor(), server.address);
  await answerTo(page, "slots");
  await turnTo(page, "wiring");
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  const reached = new Set<string>();
  const unseen: string[] = [];
  for (let stop = 0; stop < 400; stop += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const element = document.activeElement as HTMLElement | null;
      if (!element || element === document.body) return undefined;
      const everything = [...document.querySelectorAll<HTMLElement>("*")];
      const shown = element.closest<HTMLElement>(".button, .cm-editor") ?? element;
      const { outlineStyle, outlineWidth } = getComputedStyle(shown);
      const isSeen = outlineStyle !== "none" && outlineWidth !== "0px";
      return { index: String(everything.indexOf(element)), isSeen, what: element.outerHTML.slice(0, 80) };
    });
    // Past the last stop comes the browser itself, then the first.
    if (!at) continue;
    if (reached.has(at.index)) break;
    reached.add(at.index);
    // The editor shows its frame a moment later.
    if (!at.isSeen && !(await page.locator(".cm-editor.cm-focused").isVisible())) unseen.push(at.what);
  }
  expect(unseen).toEqual([]);
  const missed = await page.evaluate(
    (indexes) => {
      const everything = [...document.querySelectorAll<HTMLElement>("*")];
      const pressed = everything.filter((element) =>
        element.matches("a[href], button, input, select, summary, .cm-content, .scrolling"),
      );
      return pressed
        .filter((element) => element.checkVisibility() && !indexes.includes(String(everything.indexOf(element))))
        .map((element) => element.outerHTML.slice(0, 80));
    },
    [...reached],
  );
  expect(missed).toEqual([]);
});
