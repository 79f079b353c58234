/**
 * `npm run growth`: how the proof grows with the chips and with the oscillator periods of a circuit. Writes docs/growth.md
 * and its drawing. Seconds are those of the processor, all threads together, of one run after a first one of another circuit.
 */
import { writeFileSync } from "node:fs";
import { cpus } from "node:os";
import { prove } from "../src/timing/index.js";
import { type GrowthOptions, growthCircuit } from "./growth-circuit.js";
import { type Measured, growthDrawing, growthPage } from "./growth-page.js";

const BY_CHIPS: readonly GrowthOptions[] = [1, 4, 7, 9, 12, 14, 17, 19].map((groups) => ({ counters: 2, groups }));
const BY_TICKS: readonly GrowthOptions[] = [1, 2, 3, 4].map((counters) => ({ counters, groups: counters }));

function measure(options: GrowthOptions): Measured {
  const circuit = growthCircuit(options);
  const before = process.cpuUsage();
  const { cycleTicks, leadTicks, situations } = prove(circuit);
  const { user, system } = process.cpuUsage(before);
  return {
    options,
    chips: circuit.chips.length,
    ticks: cycleTicks + leadTicks,
    situations,
    seconds: (user + system) / 1e6,
  };
}

measure({ counters: 1, groups: 3 });
const measured = { byChips: BY_CHIPS.map(measure), byTicks: BY_TICKS.map(measure) };
const processor = cpus()[0]?.model.trim() ?? "unknown processor";
const on = `${new Date().toISOString().slice(0, 10)}, Node ${process.versions.node}, ${cpus().length} x ${processor}`;
writeFileSync("docs/growth.md", growthPage(measured, on));
writeFileSync("docs/images/growth.svg", growthDrawing(measured));
console.log("docs/growth.md\ndocs/images/growth.svg");
