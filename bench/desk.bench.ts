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

function told(name: string, times: readonly number[]): void {
  const sorted = [...times].sort((a, b) => a - b);
  const [median, most] = [sorted[Math.floor(sorted.length / 2)] ?? 0, sorted.at(-1) ?? 0];
  console.log(`${name}: ${median.toFixed(1)} ms a frame, ${most.toFixed(1)} ms at most, ${sorted.length} frames`);
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
told(`${chips} chips, scrolling the page of slots`, await frameTimes(page, "scrollBy(0, 9)"));
await page.evaluate("scrollTo(0, 0)");
for (let step = 0; step < 3; step += 1) {
  const began = performance.now();
  await page.getByRole("button", { name: "wider" }).first().click();
  await frameTimes(page, "").then(([first = 0]) => first);
  if (step === 0)
    console.log(
      `${chips} chips, from pressing "wider" through 90 frames: ${(performance.now() - began).toFixed(0)} ms`,
    );
}
told(
  `${chips} chips, scrolling along the widened cycle`,
  await frameTimes(page, 'document.querySelector("#page-content [data-wider] .scrolling").scrollLeft += 12'),
);
await browser.close();
desk.kill();
rmSync(folder, { recursive: true });
