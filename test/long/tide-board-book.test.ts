import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createCanvas } from "@napi-rs/canvas";
import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";
import { expect, test } from "vitest";
import { ensureChromium } from "../../scripts/chromium.mjs";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "../cli/surroundings.js";
import { clipped, linesOf, printedPages, wordsOf } from "../support/printed-pages.js";

/** Where every page of the book is left as a picture, to be looked at. */
const pictures = "out/tide-board-book";

test("`report` of the tide board answers every question and prints them as a book", { timeout: 900_000 }, async () => {
  const folder = await mkdtemp(join(tmpdir(), "book-"));
  try {
    const page = join(folder, "tide-board.html");
    const args = [
      "report",
      "examples/tide-board.circuit.yaml",
      "--output",
      page,
      "--pdf",
      "--browser",
      ensureChromium(),
    ];
    const { out } = await outcomeOf(commands, args);
    expect(out).toMatch(/^Does every slot fit\? Every slot fits: \d+ rules at \d+ places hold; the worst margin is/);
    expect(out).toContain("Will the monitor lock? Yes: 31.469 kHz, 59.94 Hz");
    expect(out).toContain("What will I see? A picture of 640 by 480 dots, nothing out of place.");
    expect(out).toContain(`The report: ${page}`);
    const html = await readFile(page, "utf8");
    expect(html).toContain("<h1>Tide board</h1>");
    expect(html).toContain("Memory cycle of Tide board, 635.55 ns");
    expect(html).toContain("What holds: the tightest place of each rule");
    expect(html).toContain("the whole state comes back every 420,000, so nothing else can occur");
    expect(html).toContain('<img class="picture" src="data:image/png;base64,');

    const pdf = new Uint8Array(await readFile(join(folder, "tide-board.pdf")));
    await leavePictures(pdf);
    const pages = await printedPages(pdf);
    for (const [i, printed] of pages.entries()) {
      expect([i + 1, clipped(printed)]).toEqual([i + 1, []]);
      // The page of the picture has a heading, the picture, and its caption.
      const isPicture = wordsOf(printed).includes("Oneframe,sampledinthemiddleofeverydot");
      expect([i + 1, linesOf(printed) > (isPicture ? 1 : 3)]).toEqual([i + 1, true]);
      expect(printed.texts.filter(({ y }) => y < 40).map(({ text }) => text)).toContain(String(i + 1));
    }
    const entries = [
      ...html.matchAll(/<span>([^<]*)<\/span><span class="leader"><\/span><span class="page-number">(\d+)</g),
    ];
    expect(entries.length).toBeGreaterThan(15);
    for (const [, heading = "", number] of entries) {
      expect(wordsOf(pages[Number(number) - 1] ?? { width: 0, height: 0, texts: [] })).toContain(
        heading.replace(/\s/g, ""),
      );
    }
  } finally {
    await rm(folder, { recursive: true });
  }
});

async function leavePictures(pdf: Uint8Array): Promise<void> {
  await mkdir(pictures, { recursive: true });
  const task = getDocument({ data: Uint8Array.from(pdf), verbosity: 0, disableFontFace: true });
  const document = await task.promise;
  for (let number = 1; number <= document.numPages; number++) {
    const page = await document.getPage(number);
    const viewport = page.getViewport({ scale: 1.5 });
    const canvas = createCanvas(viewport.width, viewport.height);
    type Render = Parameters<typeof page.render>[0];
    // The library names the browser's types, which this project does not load.
    const canvasContext = canvas.getContext("2d") as unknown as Render["canvasContext"];
    await page.render({ canvas: null, canvasContext, viewport } as Render).promise;
    await writeFile(join(pictures, `page-${String(number).padStart(2, "0")}.png`), canvas.toBuffer("image/png"));
  }
  await task.destroy();
}
