import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, expect, inject } from "vitest";
import { readDeskPages } from "../../src/cli/desk-pages.js";
import { type DeskServer, serveDesk } from "../../src/cli/desk-server.js";
import { linkTo } from "../../src/desk/link.js";
import type { Question } from "../../src/desk/protocol.js";

/** The desk as the build leaves it. */
export const deskFolder = fileURLToPath(new URL("../../dist/desk/", import.meta.url));
export const deskFile = pathToFileURL(join(deskFolder, "index.html")).href;

/** A circuit file in a folder of its own, served. */
export interface ServedCircuit {
  readonly path: string;
  readonly server: DeskServer;
}

let browser: Browser;
const complaints: string[] = [];
const toClose: (() => Promise<unknown>)[] = [];

/** Has the tests of a file use the one browser; each fails on anything that the page complains of to the console. */
export function useBrowser(): void {
  beforeAll(async () => {
    browser = await chromium.connect(inject("browser"));
  });
  afterEach(async () => {
    for (const close of toClose.splice(0).reverse()) await close();
    expect(complaints.splice(0)).toEqual([]);
  });
  afterAll(() => browser.close());
}

/** What a browser keeps is kept by context: a new one is a browser that was never here. */
export async function newVisitor(options: BrowserContextOptions = {}): Promise<BrowserContext> {
  const visitor = await browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
  toClose.push(() => visitor.close());
  return visitor;
}

/** Opens an address and waits until the desk stands there with a circuit in its editor. */
export async function openDesk(visitor: BrowserContext, address: string): Promise<Page> {
  const page = await visitor.newPage();
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(message.text());
  });
  page.on("pageerror", ({ message }) => complaints.push(message));
  await page.goto(address);
  await standing(page);
  return page;
}

/** A link to the desk on the disk that carries a circuit. */
export function linkWith(text: string, name = "tide-lamp.circuit.yaml"): Promise<string> {
  return linkTo({ name, text }, deskFile);
}

/** Waits until a circuit stands in the editor. */
export async function standing(page: Page): Promise<void> {
  await page.locator(".cm-line", { hasText: /\S/ }).first().waitFor({ state: "attached" });
}

/** Expects that the console complains of something by design, such as a request that is answered with a refusal. */
export function forgive(pattern: RegExp): void {
  const kept = complaints.filter((text) => !pattern.test(text));
  complaints.splice(0, complaints.length, ...kept);
}

/** Writes a circuit file and serves it. */
export async function serve(text: string, name = "tide-lamp.circuit.yaml"): Promise<ServedCircuit> {
  const folder = await mkdtemp(join(tmpdir(), "dotwright-desk-"));
  toClose.push(() => rm(folder, { recursive: true, force: true }));
  const path = join(folder, name);
  await writeFile(path, text);
  const server = await serveDesk({ pages: await readDeskPages(deskFolder), circuitPath: path }, 0);
  toClose.push(() => server.close());
  return { path, server };
}

/** The last word on a question, as it stands in its tab, once there is one about the text in the editor. */
export async function answerTo(page: Page, question: Question): Promise<string> {
  const tab = page.locator(`.tab[href="#${question}"]`);
  await expect
    .poll(() => tab.innerText(), { timeout: 60_000, interval: 100 })
    .not.toMatch(/Being worked out|of the text before|still looking/);
  return (await tab.locator(".answer").allInnerTexts()).join(" ");
}

/** Turns to the page of a question. */
export async function turnTo(page: Page, question: Question): Promise<void> {
  await page.locator(`.tab[href="#${question}"]`).click();
  await page.locator("#page-content > *:not(:text('Being worked out.'))").first().waitFor();
}

/** The text in the editor. */
export async function textOf(page: Page): Promise<string> {
  const lines = await page.locator(".cm-line").allTextContents();
  return lines.join("\n");
}

/** Replaces a piece of the text in the editor as one would by hand: selected, then typed over. */
export async function rewrite(page: Page, before: string, after: string): Promise<void> {
  await page.evaluate((wanted) => {
    const walk = document.createTreeWalker(
      document.querySelector(".cm-content") ?? document.body,
      NodeFilter.SHOW_TEXT,
    );
    for (let node = walk.nextNode(); node; node = walk.nextNode()) {
      const from = node.textContent?.indexOf(wanted) ?? -1;
      if (from < 0) continue;
      document.querySelector<HTMLElement>(".cm-content")?.focus();
      getSelection()?.setBaseAndExtent(node, from, node, from + wanted.length);
      return;
    }
    throw new Error(`${wanted} is not in the editor`);
  }, before);
  await page.keyboard.insertText(after);
}

/** Presses what offers a file, and takes the file. */
export async function taken(page: Page, selector: string): Promise<{ readonly name: string; readonly bytes: Buffer }> {
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator(selector).first().click()]);
  const name = download.suggestedFilename();
  const folder = await mkdtemp(join(tmpdir(), "dotwright-taken-"));
  try {
    await download.saveAs(join(folder, name));
    return { name, bytes: await readFile(join(folder, name)) };
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
