import { mkdir, readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Page } from "playwright-core";
import type { Question } from "../../src/desk/protocol.js";
import { turnTo } from "./open-desk.js";

const folder = new URL("../../out/desk-pictures/", import.meta.url);
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
export async function look(page: Page, question: Question): Promise<string[]> {
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
