/**
 * The desk: what a browser has to load, compressed; how long the bundled example takes from opening the page to its first
 * answer, to the monitor's and to all verdicts, and to them again after a keystroke; and how smoothly a board of over 60 chips
 * is scrolled and widened. `npm run bench -- desk` runs this file; it needs Chromium.
 */
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";
import { type Page, chromium } from "playwright-core";
import type * as Chromium from "../scripts/chromium.mjs";

const RUNS = 5;
const FOLDER = "dist/desk";

const built = spawnSync(process.execPath, ["scripts/ensure-built.mjs"], { stdio: "inherit" });
if (built.status !== 0) process.exit(built.status ?? 1);

let total = 0;
for (const name of readdirSync(FOLDER)) {
  const bytes = gzipSync(readFileSync(join(FOLDER, name))).length;
  total += bytes;
  console.log(`${name}: ${(bytes / 1000).toFixed(1)} kB compressed`);
}
console.log(`in all: ${(total / 1000).toFixed(1)} kB compressed`);

const { chromiumArguments, ensureChromium } = (await import(
  pathToFileURL(resolve("scripts/chromium.mjs")).href
)) as typeof Chromium;
const browser = await chromium.launch({ executablePath: ensureChromium(), args: chromiumArguments });

/** Milliseconds from opening the page until the tab of a question has an answer, in a browser that was never there. */
async function untilAnswer(question: string): Promise<number> {
  const visitor = await browser.newContext();
  try {
    const page = await visitor.newPage();
    const began = performance.now();
    await page.goto(pathToFileURL(resolve(FOLDER, "index.html")).href);
    await page.locator(`.tab[href="#${question}"] .answer:not(.quiet)`).first().waitFor();
    return performance.now() - began;
  } finally {
    await visitor.close();
  }
}

for (const [question, name] of [
  ["wiring", "first answer (what to wire)"],
  ["lock", "whether the monitor locks"],
] as const) {
  const times: number[] = [];
  for (let run = 0; run < RUNS; run += 1) times.push(await untilAnswer(question));
  times.sort((a, b) => a - b);
  const [least = 0, , median = 0, , most = 0] = times.map((time) => time / 1000);
  console.log(
    `tide-board, ${name}: ${median.toFixed(2)} s (${least.toFixed(2)} to ${most.toFixed(2)} s in ${RUNS} runs)`,
  );
}

/** Where a keystroke goes: into the title, so that the circuit is another one, or into a comment. */
type Into = "title" | "comment";

/** Seconds from a keystroke until the slots have an answer to the new text, by bounds, and until they have the last word. */
async function afterKeystroke(page: Page, into: Into, title: string): Promise<{ bounds: number; last: number }> {
  const tab = page.locator('.tab[href="#slots"]');
  const says = (pattern: RegExp, isSaid: boolean) =>
    page.waitForFunction(
      `${pattern}.test(document.querySelector(".tab[href='#slots']").textContent) === ${isSaid}`,
      undefined,
      { timeout: 300_000, polling: 20 },
    );
  await tab.waitFor();
  await page.locator(".cm-content").focus();
  if (into === "title") await page.locator(".cm-line", { hasText: `title: ${title}` }).click();
  else await page.keyboard.press("Control+End");
  const began = performance.now();
  await page.keyboard.type(into === "title" ? "x" : "#");
  // The answers before stay, marked as such, until there are others.
  await says(/of the text before/, true);
  await says(/of the text before|Being worked out/, false);
  const bounds = (performance.now() - began) / 1000;
  await says(/of the text before|Being worked out|still looking/, false);
  return { bounds, last: (performance.now() - began) / 1000 };
}

for (const file of ["examples/tide-board.circuit.yaml", "test/desk/two-ways.circuit.yaml"]) {
  const visitor = await browser.newContext();
  const page = await visitor.newPage();
  await page.goto(pathToFileURL(resolve(FOLDER, "index.html")).href);
  await page.locator('input[type="file"]').first().setInputFiles(file);
  const title = /^title: (.*)$/m.exec(readFileSync(file, "utf8"))?.[1] ?? "";
  await page.getByRole("heading", { level: 1, name: title }).waitFor();
  await page.getByText("All is worked out.").waitFor({ timeout: 300_000 });
  // A comment in the small circuit is answered before it can be seen to be unanswered.
  for (const into of file.startsWith("examples") ? (["title", "comment"] as const) : (["title"] as const)) {
    const times: { bounds: number; last: number }[] = [];
    for (let run = 0; run < RUNS; run += 1) {
      times.push(await afterKeystroke(page, into, title));
      await page.getByText("All is worked out.").waitFor({ timeout: 300_000 });
    }
    const middle = (of: (one: { bounds: number; last: number }) => number) =>
      (times.map(of).sort((a, b) => a - b)[Math.floor(RUNS / 2)] ?? 0).toFixed(2);
    console.log(
      `${file}, after a keystroke in a ${into}: ${middle(({ bounds }) => bounds)} s to the bounds, ` +
        `${middle(({ last }) => last)} s to the last word on the slots (medians of ${RUNS})`,
    );
  }
  await visitor.close();
}

/** The bundled example with counters and registers beside it that come back within its lines. */
function largeBoard(): string {
  const text = readFileSync("examples/tide-board.circuit.yaml", "utf8");
  const beside = Array.from({ length: 18 }, (_, index) => {
    const bits = ["0", "1", "2", "3"].map((bit) => `X${index}Q${bit}`);
    return (
      `  V${2 * index}: { part: 74HC163, pins: { CLK: DOT, "CLR#, LOAD#, ENP, ENT": high, "A, B, C, D": low, ` +
      `"Q[A..D]": "${bits.join(", ")}", RCO: open } }\n` +
      `  V${2 * index + 1}: { part: 74HC175, pins: { CLK: DOT, CLR#: high, "[1..4]D": "${bits.join(", ")}", ` +
      `"[1..4]Q, [1..4]Q#": open } }\n`
    );
  });
  return text.replace("\nchips:\n", `\nchips:\n${beside.join("")}`);
}

/**
 * Milliseconds of work on the page's thread for each frame while `work` goes on: scripts, styles, layout and painting, as the browser
 * counts them. The time from one frame to the next says less, since it is never under that of the screen.
 */
async function workPerFrame(page: Page, work: () => Promise<number[]>): Promise<string> {
  const session = await page.context().newCDPSession(page);
  await session.send("Performance.enable");
  const busy = async () => {
    const { metrics } = await session.send("Performance.getMetrics");
    return (metrics.find(({ name }) => name === "TaskDuration")?.value ?? 0) * 1000;
  };
  const before = await busy();
  const times = await work();
  const after = await busy();
  await session.detach();
  const late = times.filter((time) => time > 1.5 * SCREEN_MS).length;
  return `${((after - before) / times.length).toFixed(1)} ms of work a frame, ${late} of ${times.length} frames late`;
}

/** From one frame of a screen of 60 Hz to the next. */
const SCREEN_MS = 1000 / 60;

/** Milliseconds from one drawn frame to the next while `each` is called before every one. */
async function frameTimes(page: Page, each: string): Promise<number[]> {
  return page.evaluate(`(async () => {
    const times = [];
    let before = await new Promise(requestAnimationFrame);
    for (let frame = 0; frame < 90; frame += 1) {
      ${each};
      const now = await new Promise(requestAnimationFrame);
      times.push(now - before);
      before = now;
    }
    return times;
  })()`);
}

const visitor = await browser.newContext({ viewport: { width: 1440, height: 900 } });
const page = await visitor.newPage();
const folder = mkdtempSync(join(tmpdir(), "dotwright-bench-"));
writeFileSync(join(folder, "large.circuit.yaml"), largeBoard());
const desk = spawn(process.execPath, ["dist/cli/main.js", "desk", join(folder, "large.circuit.yaml"), "--no-open"]);
const address = await new Promise<string>((found) => {
  desk.stdout.on("data", (text: Buffer) => {
    const [seen] = /http:\S+/.exec(String(text)) ?? [];
    if (seen !== undefined) found(seen);
  });
});
await page.goto(address);
await page.locator('.tab[href="#slots"]').click();
const drawing = page.locator("#page-content [data-wider] svg.drawing").first();
await drawing.waitFor({ timeout: 300_000 });
const chips = largeBoard().match(/ part: /g)?.length ?? 0;
const scrolled = await workPerFrame(page, () => frameTimes(page, 'document.querySelector("#leaf").scrollBy(0, 9)'));
console.log(`${chips} chips, scrolling the page of slots: ${scrolled}`);
await page.evaluate("document.querySelector('#leaf').scrollTo(0, 0)");
for (let step = 0; step < 3; step += 1) {
  const began = performance.now();
  const widened = await workPerFrame(page, async () => {
    await page.getByRole("button", { name: "wider" }).first().click();
    return frameTimes(page, "");
  });
  const until = (performance.now() - began).toFixed(0);
  console.log(`${chips} chips, pressing "wider" and 90 frames after it, ${until} ms: ${widened}`);
}
const along = await workPerFrame(page, () =>
  frameTimes(page, 'document.querySelector("#page-content [data-wider] .scrolling").scrollLeft += 12'),
);
console.log(`${chips} chips, scrolling along the widened cycle: ${along}`);
await browser.close();
desk.kill();
rmSync(folder, { recursive: true });
