/**
 * The desk: what a browser has to load, compressed, and how long the bundled example takes from opening the page to its first
 * answer and to the monitor's. `npm run bench -- desk` runs this file; it needs Chromium.
 */
import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";
import { chromium } from "playwright-core";
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
await browser.close();
