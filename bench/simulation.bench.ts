/**
 * The timed simulation of the tide board: how many events a second, and how long for one frame. An event is a change that
 * leaves an output pin or arrives at an input pin.
 */
import { readFileSync } from "node:fs";
import { performance } from "node:perf_hooks";
import { readCircuit } from "../src/circuit/index.js";
import { ns } from "../src/quantity/index.js";
import { Simulator, chooseDelays, compileTables } from "../src/simulation/index.js";

const file = "examples/tide-board.circuit.yaml";
const { circuit, problems } = readCircuit(readFileSync(file, "utf8"), file);
if (!circuit) throw new Error(problems.map((problem) => JSON.stringify(problem)).join("\n"));

const FRAME = ns(16_683_217);
let began = performance.now();
const tables = compileTables(circuit);
console.log(`${file}: ${circuit.chips.length} chips, tables in ${(performance.now() - began).toFixed(0)} ms`);
for (const choice of ["typical", { seed: 1, spread: "even" }] as const) {
  const delays = chooseDelays(tables, choice);
  const simulator = new Simulator(tables, delays, { powerUp: { seed: 1 } });
  for (const input of circuit.inputs) {
    if (input.timing.kind === "power-up only") simulator.drive(input.net, ns(1000), 1);
  }
  for (let frame = 1; frame <= 4; frame++) {
    const before = simulator.outputChanges + simulator.arrivals;
    began = performance.now();
    simulator.run(ns(1000 + frame * (FRAME / 1e6)));
    const seconds = (performance.now() - began) / 1000;
    const events = simulator.outputChanges + simulator.arrivals - before;
    console.log(
      `${typeof choice === "string" ? choice : `seed ${choice.seed}`}, frame ${frame}: ${seconds.toFixed(2)} s, ` +
        `${(events / 1e6).toFixed(2)} million events, ${(events / seconds / 1e6).toFixed(2)} million a second`,
    );
  }
}
