import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { promisify } from "node:util";
import { decode } from "fast-png";
import { expect, test } from "vitest";
import { readCircuit } from "../../src/circuit/index.js";
import { wireAnswer, wiringList } from "../../src/paper/index.js";
import { findRaster } from "../../src/raster/index.js";
import { answerTo, deskFile, linkWith, newVisitor, openDesk, rewrite, turnTo, useBrowser } from "./open-desk.js";

useBrowser();

const lamp = await readFile(new URL("tide-lamp.circuit.yaml", import.meta.url), "utf8");

test("the example opens from the disk without a network, with the command line's answers and picture, dot for dot", async () => {
  const name = "examples/tide-board.circuit.yaml";
  const png = join(await mkdtemp(join(tmpdir(), "dotwright-desk-")), "tide-board.png");
  const command = promisify(execFile)(process.execPath, ["dist/cli/main.js", "simulate", name, "--picture", png]);
  const page = await openDesk(await newVisitor({ offline: true }), deskFile);
  const { circuit } = readCircuit(await readFile(name, "utf8"), name, { findRaster });
  if (!circuit) throw new Error("the example has mistakes");
  expect(await answerTo(page, "wiring")).toBe(wireAnswer(wiringList(circuit)).answer);
  const { stdout } = await command;
  const [, rates] = /^○ Yes: (\S+ kHz, \S+ Hz), inside the tolerance/.exec(await answerTo(page, "lock")) ?? [];
  expect(stdout).toContain(`Locks: ${rates}, `);
  expect(await answerTo(page, "picture")).toBe("○ A picture of 640 by 480 dots, nothing out of place.");
  await turnTo(page, "picture");
  const shown = await page.locator("img.picture").getAttribute("src");
  const dots = (file: Uint8Array) => {
    const { width, height, channels, depth, data } = decode(file);
    return { width, height, channels, depth, data: Buffer.from(data.buffer).toString("base64") };
  };
  expect(dots(Buffer.from((shown ?? "").split(",")[1] ?? "", "base64"))).toEqual(dots(await readFile(png)));
  await rm(dirname(png), { recursive: true });

  // Every verdict of the board, from its bounds; the command line has the same where all holds.
  expect(await answerTo(page, "slots")).toMatch(/^○ Every slot fits/);
  await turnTo(page, "slots");
  expect(await page.locator("#page-content svg.drawing").first().textContent()).toContain("WE#");
});

test("a mistake is underlined and told with its line, and the last answers stay, marked as older", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  await answerTo(page, "slots");
  await rewrite(page, "74HC163", "74HC1630");
  const problems = page.locator("#problems");
  await expect.poll(() => problems.innerText()).toContain("One mistake keeps the file from being judged");
  const line = lamp.split("\n").findIndex((one) => one.includes("74HC163")) + 1;
  expect(await problems.innerText()).toContain(`line ${line}: no function 1630 in the catalogue: did you mean 74HC163`);
  await page.locator(".cm-lintRange-error", { hasText: "74HC1630" }).waitFor();
  expect(await page.locator('.tab[href="#slots"]').innerText()).toContain("of the text before");
  await page.locator("#problems .choose").first().press("Enter");
  await page.keyboard.type("x");
  expect(
    await page
      .locator(".cm-line")
      .nth(line - 1)
      .innerText(),
  ).toContain("x74HC1630");
});

test("another comment leaves the answers as they are, and a mistake put right brings them back", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  const before = await answerTo(page, "slots");
  await page.getByText("All is worked out.").waitFor();
  await page.locator(".cm-content").focus();
  await page.keyboard.press("Control+End");
  await page.keyboard.type("# beside the slipway");
  await page.getByText("All is worked out.").waitFor();
  expect(await answerTo(page, "slots")).toBe(before);
  await rewrite(page, "74HC163", "74HC1630");
  await expect.poll(() => page.locator("#problems").innerText()).toContain("One mistake");
  await rewrite(page, "74HC1630", "74HC163");
  await expect.poll(() => page.locator('.tab[href="#slots"]').innerText()).not.toContain("of the text before");
  expect(await answerTo(page, "slots")).toBe(before);
});

test("a RAM slower by 45 ns takes 45 ns from the margin of its read, and the chain of delays shows where", async () => {
  const page = await openDesk(await newVisitor(), await linkWith(lamp));
  expect(await answerTo(page, "slots")).toContain("Every slot fits");
  await turnTo(page, "slots");
  const margin = async () => {
    const row = page.locator("tr", { has: page.getByRole("button", { name: /^memory read U3/ }) });
    return Number((await row.locator("td").nth(4).innerText()).replace("−", "-"));
  };
  const before = await margin();
  await rewrite(page, "62256-25", "62256-70");
  await expect.poll(() => answerTo(page, "slots")).toContain("▲ 8 of 27 checks fail, the worst by 15.01 ns");
  expect((await margin()) - before).toBeCloseTo(25 - 70, 6);

  await page.getByRole("button", { name: /^memory read U3/ }).press("Enter");
  const chosen = page.locator(".chosen");
  await chosen.locator("h3").first().waitFor();
  expect(await chosen.evaluate((element) => element === document.activeElement)).toBe(true);
  expect(await chosen.innerText()).toContain("62256-70");
  expect(await chosen.locator("svg.drawing").first().innerHTML()).toContain("70");
  expect(await chosen.locator("table[data-takeaway=arithmetic]").innerText()).toContain("70.00");
});
