import { mkdir, readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { questions } from "../../src/desk/protocol.js";
import { answerTo, deskFile, linkWith, newVisitor, openDesk, serve, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const folder = new URL("../../out/desk-pictures/", import.meta.url);
const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");
const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

/** What the accessibility rules of WCAG 2.2 AA find on a page, each with where. */
async function faults(page: Page): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  const { violations } = await page.evaluate((tags) => {
    const { axe } = window as unknown as { axe: { run(where: Document, how: unknown): Promise<AxeResults> } };
    return axe.run(document, { runOnly: tags, resultTypes: ["violations"] });
  }, rules);
  return violations.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id} at ${target.join(" ")}: ${failureSummary}`),
  );
}

/** The page has room for all that stands on it: nothing runs out of it sideways. */
async function isWideEnough(page: Page): Promise<boolean> {
  return page.evaluate(() => document.documentElement.scrollWidth <= innerWidth);
}

async function look(page: Page, name: string): Promise<void> {
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    expect({ name, colorScheme, faults: await faults(page) }).toEqual({ name, colorScheme, faults: [] });
    await page.screenshot({ path: new URL(`${name}-${colorScheme}.png`, folder).pathname, fullPage: true });
  }
}

for (const width of [360, 1440]) {
  test(`every page is legible, operable and within its room, light and dark, ${width} px wide`, async () => {
    await mkdir(folder, { recursive: true });
    const visitor = await newVisitor({ viewport: { width, height: 900 } });
    // The example's timing takes longer than all else: its page is looked at with a smaller board.
    const board = await openDesk(visitor, deskFile);
    for (const question of questions.filter((one) => one !== "slots")) {
      await answerTo(board, question);
      await turnTo(board, question);
      expect(await isWideEnough(board)).toBe(true);
      await look(board, `${question}-${width}`);
    }
    await board.close();
    const page = await openDesk(visitor, await linkWith(lamp.replace("62256-25", "62256-70")));
    await answerTo(page, "slots");
    await turnTo(page, "slots");
    await page.getByRole("button", { name: /^memory read U3/ }).click();
    await page.locator(".chosen h3").waitFor();
    expect(await isWideEnough(page)).toBe(true);
    await look(page, `slots-${width}`);
  });
}

test("the keyboard alone reaches everything that can be pressed, and every stop shows where it is", async () => {
  const { server } = await serve(lamp);
  const page = await openDesk(await newVisitor(), server.address);
  await answerTo(page, "slots");
  await turnTo(page, "wiring");
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
  const reached = new Set<string>();
  const unseen: string[] = [];
  for (let stop = 0; stop < 400; stop += 1) {
    // Tab leaves the editor after Escape, and indents nothing there either.
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
    if (!at) break;
    if (reached.has(at.index)) break;
    reached.add(at.index);
    if (!at.isSeen) unseen.push(at.what);
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
