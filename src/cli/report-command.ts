import { galleryOf, readNotebook } from "../bench/index.js";
import type { Circuit } from "../circuit/index.js";
import type { Progress } from "../judging/index.js";
import {
  accountDrawings,
  type Answer,
  type Gallery,
  electricalFindingsAnswer,
  lockAnswer,
  memoryCycle,
  pictureAnswer,
  proofAnswer,
  report,
  type ReportInput,
  verdictViews,
  wireAnswer,
  wiringList,
} from "../paper/index.js";
import { drawnAndPlanned, firstPicture } from "../paper/book/work-out.js";
import { settleExactly } from "../exact/index.js";
import { simulateFrame } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { runFaults } from "./faults-run.js";
import { writeWhole } from "./files.js";
import { foundBrowser, isProgram } from "./found-browser.js";
import { pagesOf } from "./pdf-pages.js";
import { printPdf } from "./print-pdf.js";
import { judge } from "../judging/index.js";
import { readNotebookBeside } from "./notebook-file.js";
import { version } from "./version-command.js";

export const reportCommand = defineCommand({
  name: "report",
  summary:
    "Write a book to take to the bench: answers, diagrams, wiring, bring-up, margins, the picture, faults, the memory",
  arguments: { file: { summary: "the circuit file" } },
  options: {
    output: { kind: "text", value: "file", summary: "the HTML page to write; beside the circuit file by default" },
    pdf: { kind: "flag", summary: "print the book to a PDF beside the page, by a browser of this computer" },
    browser: {
      kind: "text",
      value: "program",
      summary: "the browser that prints, where none is found by itself: Chromium, Chrome or Edge",
    },
    without: {
      kind: "choice",
      choices: ["gallery"],
      summary: "leave out what single faults look like: on a large board it takes a minute the first time",
    },
    workers: {
      kind: "number",
      value: "n",
      least: 1,
      greatest: 64,
      whole: true,
      summary: "threads that simulate faults; one a core by default",
    },
  },
  examples: [
    "npx dotwright report examples/tide-board.circuit.yaml --output out/tide-board.html",
    "npx dotwright report examples/tide-board.circuit.yaml --output out/tide-board.html --pdf",
  ],
  async run({ arguments: { file }, options, progress }) {
    const { output = besides(file), pdf, browser: named, without, workers } = options;
    // Before anything long is worked out.
    const browser = pdf ? browserToPrint(named) : undefined;
    const { circuit, warnings, remarks } = await readCircuitFile(file);
    const notebook = readNotebook((await readNotebookBeside(file)).text);
    const { loaded, proof, electrical, witnesses } = await judge(circuit, progress, {}, { decide: settleExactly });
    const cycle = await progress.during("drawing the memory cycle", () => memoryCycle(loaded, proof.verdicts));
    const sample = await firstPicture(circuit, progress);
    const contents = sample && !("problem" in sample) ? sample.filled.contents : undefined;
    const seen = circuit.picture
      ? await progress.during("simulating", (tell) =>
          simulateFrame(circuit, {
            ...(contents && { contents }),
            onProgress: (_stage, done, total) => tell(done, total),
          }),
        )
      : undefined;
    const gallery =
      circuit.picture && without !== "gallery"
        ? await galleryOfFaults(circuit, { file, workers }, progress)
        : undefined;
    const input: ReportInput = {
      circuit,
      ...(await drawnAndPlanned(circuit, remarks, progress)),
      file,
      madeBy: `dotwright ${version}`,
      verdicts: verdictViews(proof.verdicts),
      slots: proofAnswer(proof),
      ...(proof.coverage ? { coverage: proof.coverage.text } : {}),
      electrical,
      ...(cycle ? { cycle } : {}),
      accounts: accountDrawings(loaded, proof, witnesses),
      ...(seen ? { seen: seen.monitor } : {}),
      ...(gallery && { gallery }),
      ...(sample && { sample }),
      notebook,
    };
    const printed = browser === undefined ? undefined : await printedBook(input, browser, progress);
    await writeWhole(output, printed?.html ?? report(input));
    const pdfFile = `${output.replace(/\.html?$/i, "")}.pdf`;
    if (printed) await writeWhole(pdfFile, printed.pdf);

    const answers: Answer[] = [
      proofAnswer(proof),
      electricalFindingsAnswer(electrical),
      ...(seen ? [lockAnswer(seen.monitor), pictureAnswer(seen.monitor)] : []),
      wireAnswer(wiringList(circuit)),
    ];
    const lines = answers.map(({ question, answer }) => `${question} ${answer}`);
    const holds = answers.every(({ state }) => state === undefined || state === "holds");
    const book = printed && `The book to print, ${printed.pages} pages: ${pdfFile}`;
    return {
      exitCode: holds ? 0 : 1,
      text: [...lines, `The report: ${output}`, ...(book === undefined ? [] : [book])].join("\n"),
      json: { answers, report: output, ...(printed && { pdf: pdfFile, pages: printed.pages }), warnings },
    };
  },
});

function besides(file: string): string {
  return `${file.replace(/(?:\.circuit)?\.ya?ml$/i, "")}.report.html`;
}

/** @throws BadInput where there is none */
function browserToPrint(named: string | undefined): string {
  const found =
    named ??
    foundBrowser({ platform: process.platform, environment: process.env, isProgram: (path) => isProgram(path) });
  if (found !== undefined) return found;
  throw new BadInput(
    "--pdf: no browser that prints without a window is found here (Chromium, Chrome, Edge): name one with --browser, or " +
      "leave --pdf out and print the page from any browser",
  );
}

/** A book whose headings still move after so many printings is given out as it is. */
const MOST_PRINTINGS = 3;

/** What single faults do to the screen, simulated once and then kept; nothing of a board that cannot be simulated by itself. */
async function galleryOfFaults(
  circuit: Circuit,
  request: { readonly file: string; readonly workers: number | undefined },
  progress: Progress,
): Promise<Gallery | undefined> {
  try {
    const { bench, signatures } = await runFaults(circuit, { ...request, atRest: false }, progress);
    return { faults: bench.faults, looks: galleryOf(bench.faults, signatures, bench.good.screens?.[0]) };
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

interface PrintedBook {
  readonly html: string;
  readonly pdf: Uint8Array;
  readonly pages: number;
}

/** Printed until the contents say where the headings fell: twice, as a page number takes no more room than none. */
async function printedBook(input: ReportInput, browser: string, progress: Progress): Promise<PrintedBook> {
  return progress.during("printing", async (tell) => {
    let pages: ReadonlyMap<string, number> = new Map();
    for (let times = 1; ; times++) {
      const html = report({ ...input, pages });
      const pdf = await printPdf(html, browser);
      const { count, byId } = await pagesOf(pdf);
      const isTrue = pages.size > 0 && [...byId].every(([id, page]) => pages.get(id) === page);
      if (isTrue || times === MOST_PRINTINGS) return { html, pdf, pages: count };
      pages = byId;
      tell(times, MOST_PRINTINGS);
    }
  });
}
