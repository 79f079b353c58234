import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { ensureChromium } from "../../scripts/chromium.mjs";
import { commands } from "../../src/cli/commands.js";
import { harbourLamp } from "../paper/board-fixture.js";
import { clipped, linesOf, overlapping, printedPages, wordsOf } from "../support/printed-pages.js";
import { outcomeOf } from "./surroundings.js";

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "report-"));
});
afterAll(async () => rm(folder, { recursive: true }));

test(
  "`report` of a board that names no picture says what to wire, and prints the book",
  { timeout: 120_000 },
  async () => {
    const file = join(folder, "lamp.circuit.yaml");
    const whole = harbourLamp.replace(/to come: .*\n/, "").replace("2D: VSYNC_NEXT", "2D: low");
    await writeFile(file, `# A lamp at a harbour's entrance.\n${whole.replace(/picture: .*\n/, "")}`);
    const args = ["report", file, "--pdf", "--browser", ensureChromium()];
    const { exitCode, out } = await outcomeOf(commands, args);
    expect(out).toContain("What do I wire? ");
    expect(out).toContain("Does every slot fit? ");
    expect(exitCode).toBe(1);
    expect(out).toContain(join(folder, "lamp.report.html"));
    const html = await readFile(join(folder, "lamp.report.html"), "utf8");
    expect(html).not.toContain("Will the monitor lock?");
    expect(html).toContain("A lamp at a harbour&#39;s entrance.");

    const pdf = new Uint8Array(await readFile(join(folder, "lamp.report.pdf")));
    const pages = await printedPages(pdf);
    expect(out).toContain(`The book to print, ${pages.length} pages: ${join(folder, "lamp.report.pdf")}`);
    // Every page has its number and a running head, nothing is cut off, and none holds a line or two only.
    for (const [i, page] of pages.entries()) {
      expect(wordsOf(page)).toContain("Harbourlamp");
      expect(page.texts.filter(({ y }) => y < 40).map(({ text }) => text)).toContain(String(i + 1));
      expect([i + 1, clipped(page)]).toEqual([i + 1, []]);
      expect([i + 1, overlapping(page)]).toEqual([i + 1, []]);
      expect([i + 1, linesOf(page)]).toEqual([i + 1, expect.toSatisfy((lines: number) => lines > 3)]);
    }
    // The contents give the pages on which the headings stand.
    const entries = [
      ...html.matchAll(/<span>([^<]*)<\/span><span class="leader"><\/span><span class="page-number">(\d+)</g),
    ];
    expect(entries.length).toBeGreaterThan(10);
    for (const [, heading = "", page] of entries) {
      expect(wordsOf(pages[Number(page) - 1] ?? { width: 0, height: 0, texts: [] })).toContain(
        heading.replace(/\s/g, ""),
      );
    }
    // Drawings that are wide stand on sheets across.
    expect(pages.some(({ width, height }) => width > height)).toBe(true);
  },
);

test("text on text of a printed page is seen, a label's halo and the next line are let be", () => {
  const at = (text: string, x: number, y: number) => ({ text, x, y, width: 6 * text.length, size: 10 });
  const page = { width: 595, height: 842 };
  expect(overlapping({ ...page, texts: [at("LINE_END#", 100, 400), at("LOAD#", 120, 404)] })).toEqual([
    "LINE_END# | LOAD#",
  ]);
  expect(overlapping({ ...page, texts: [at("DOT", 100, 400), at("DOT", 100, 400), at("OSC", 100, 388)] })).toEqual([]);
});
