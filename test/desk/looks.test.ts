import { readFile } from "node:fs/promises";
import { expect, test } from "vitest";
import { look } from "./look.js";
import { answerTo, deskFile, linkWith, newVisitor, openDesk, serve, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");
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
    // The editor shows its frame a moment later, which is longer on a busy machine.
    const isFramed = () =>
      page
        .locator(".cm-editor.cm-focused")
        .waitFor({ timeout: 2000 })
        .then(
          () => true,
          () => false,
        );
    if (!at.isSeen && !(await isFramed())) unseen.push(at.what);
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
