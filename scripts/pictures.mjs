/** `npm run pictures`: makes the README's pictures anew from the bundled example with the built tool; needs Chromium. */
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { chromiumArguments, ensureChromium } from "./chromium.mjs";
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, root } from "./ensure-installed.mjs";

const example = "examples/tide-board.circuit.yaml";
const folder = join(root, "docs/images");

ensureInstalled();
ensureBuilt();
const { readCircuit } = await import("../dist/circuit/index.js");
const { drawCycle, memoryCycle, standaloneSvg } = await import("../dist/paper/index.js");
const { encodePng } = await import("../dist/raster/index.js");
const { simulateFrame } = await import("../dist/simulation/index.js");
const { underLoad } = await import("../dist/electrical/index.js");
const { prove } = await import("../dist/timing/index.js");

const { circuit } = readCircuit(readFileSync(join(root, example), "utf8"), example);
if (!circuit) throw new Error(`${example} has mistakes`);
mkdirSync(folder, { recursive: true });

const { monitor } = simulateFrame(circuit);
if (!monitor.locked) throw new Error(`a monitor does not lock: ${monitor.reason}`);
write("tide-board.png", encodePng(monitor.picture));

const loaded = underLoad(circuit);
const cycle = memoryCycle(loaded, prove(loaded).verdicts);
if (!cycle) throw new Error("no memory cycle was found");
write("memory-cycle.svg", standaloneSvg(drawCycle(cycle).svg));

const browser = await chromium.launch({ executablePath: ensureChromium(), args: chromiumArguments });
const page = await browser.newPage({ viewport: { width: 1280, height: 860 } });
await page.goto(`${pathToFileURL(join(root, "dist/desk/index.html")).href}#slots`);
// Its verdicts come last.
await page.locator(".verdicts").nth(1).waitFor({ timeout: 120_000 });
await page.getByText("All is worked out.").waitFor({ timeout: 120_000 });
write("desk.png", await page.screenshot());
await browser.close();

function write(name, content) {
  writeFileSync(join(folder, name), content);
  console.log(`docs/images/${name}`);
}
