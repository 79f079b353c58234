import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createCanvas } from "@napi-rs/canvas";
import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";
import { expect, test } from "vitest";
import { ensureChromium } from "../../scripts/chromium.mjs";
import { commands } from "../../src/cli/commands.js";
import { outcomeOf } from "../cli/surroundings.js";
import { clipped, linesOf, overlapping, printedPages, wordsOf } from "../support/printed-pages.js";

/** Where every page of every book is left as a picture, to be looked at. */
const pictures = "out/books";

/** Points of the smallest letters: those of a block diagram of many blocks. Our own choice. */
const SMALLEST = 4.2;

const books = [
  {
    board: "tide-board",
    answers: [
      /^Does every slot fit\? Every slot fits: \d+ rules at \d+ places hold; the worst margin is/,
      /Will the monitor lock\? Yes: 31\.469 kHz, 59\.94 Hz/,
      /What will I see\? A picture of 640 by 480 dots, nothing out of place\./,
    ],
    chapters: [
      "<h1>Tide board</h1>",
      "Memory cycle of Tide board, 635.55 ns",
      "What holds: the tightest place of each rule",
      "the whole state comes back every 420,000, so nothing else can occur",
      '<img class="picture" src="data:image/png;base64,',
      "2,132 single faults of the wiring were tried",
      "For a test card U25 holds 9,600 bytes.",
      // 320 dots are 40 bytes; the counters count 64 addresses a row, and the register shifts its highest bit out first.
      "The top row lies at 0x0000 to 0x0027, its leftmost dot is bit 7, and each row begins 64 addresses",
    ],
  },
  {
    board: "order-board",
    answers: [/Will the monitor lock\? Yes: 31\.469 kHz, 59\.94 Hz/, /What will I see\? A picture of 640 by 480 dots/],
    chapters: [
      "It shows 40 x 30 characters of 8 x 8 dots out of a ROM.",
      "For a page of all letters U27 holds 1,200 bytes.",
    ],
  },
];

test.each(books)(
  "`report` of $board answers every question and prints it as a book, every page of which can be read",
  { timeout: 1_200_000 },
  async ({ board, answers, chapters }) => {
    const folder = await mkdtemp(join(tmpdir(), "book-"));
    try {
      const page = join(folder, `${board}.html`);
      const args = ["report", `examples/${board}.circuit.yaml`, "--output", page, "--workers", "1"];
      const { out } = await outcomeOf(commands, [...args, "--pdf", "--browser", ensureChromium()]);
      for (const answer of answers) expect(out).toMatch(answer);
      const html = await readFile(page, "utf8");
      for (const words of chapters) expect(html).toContain(words);

      const pdf = new Uint8Array(await readFile(join(folder, `${board}.pdf`)));
      await leavePictures(pdf, join(pictures, board));
      const pages = await printedPages(pdf);
      for (const [i, printed] of pages.entries()) {
        const number = i + 1;
        expect([number, clipped(printed)]).toEqual([number, []]);
        expect([number, overlapping(printed)]).toEqual([number, []]);
        expect([number, Math.min(...printed.texts.map(({ size }) => size)) >= SMALLEST]).toEqual([number, true]);
        // The page of the picture has a heading, the picture, and its caption.
        const isPicture = wordsOf(printed).includes("Oneframe,sampledinthemiddleofeverydot");
        expect([number, linesOf(printed) > (isPicture ? 1 : 5)]).toEqual([number, true]);
        expect(printed.texts.filter(({ y }) => y < 40).map(({ text }) => text)).toContain(String(number));
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
  },
);

async function leavePictures(pdf: Uint8Array, into: string): Promise<void> {
  await rm(into, { recursive: true, force: true });
  await mkdir(into, { recursive: true });
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
    await writeFile(join(into, `page-${String(number).padStart(2, "0")}.png`), canvas.toBuffer("image/png"));
  }
  await task.destroy();
}
