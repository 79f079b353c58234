/**
 * The timed simulation: events a second, and seconds for one frame, of the bundled boards. An event is a change that leaves
 * an output pin or arrives at an input pin. Before anything is timed, the picture is compared with the test card.
 */
import { readFileSync } from "node:fs";
import { performance } from "node:perf_hooks";
import { type Circuit, formatProblem, readCircuit } from "../src/circuit/index.js";
import { fs } from "../src/quantity/index.js";
import { type BoardOptions, powerUpBoard, simulateFrame } from "../src/simulation/index.js";

/** 800 dots of 525 lines at 25.175 MHz. */
const FRAME = Math.round((800 * 525 * 1e9) / 25.175);
const FRAMES = 3;

function open(name: string): Circuit {
  const file = `examples/${name}.circuit.yaml`;
  const { circuit, problems } = readCircuit(readFileSync(file, "utf8"), file);
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

/** The fastest of some frames, since other work on the machine only ever slows one down. */
function timeFrames(circuit: Circuit, options: BoardOptions): string {
  const { simulator, released } = powerUpBoard(circuit, options);
  simulator.run(released);
  let best = { seconds: Infinity, events: 0 };
  for (let frame = 1; frame <= FRAMES; frame++) {
    const before = simulator.outputChanges + simulator.arrivals;
    const began = performance.now();
    simulator.run(fs(released + frame * FRAME));
    const seconds = (performance.now() - began) / 1000;
    if (seconds < best.seconds) best = { seconds, events: simulator.outputChanges + simulator.arrivals - before };
  }
  const [events, rate] = [best.events / 1e6, best.events / best.seconds / 1e6];
  return `${best.seconds.toFixed(2)} s a frame, ${events.toFixed(1)} million events, ${rate.toFixed(1)} million a second`;
}

const tideBoard = open("tide-board");
const began = performance.now();
const { difference } = simulateFrame(tideBoard, { frames: 1 });
if (!difference?.sameSize || difference.count > 0) throw new Error("the tide board does not show the test card");
const whole = (performance.now() - began) / 1000;
console.log(`tide-board: layout found, card loaded, one frame looked at in ${whole.toFixed(1)} s in all`);

const runs: readonly (readonly [name: string, what: string, options: BoardOptions])[] = [
  ["tide-board", "typical delays", {}],
  ["tide-board", "random delays", { delays: { seed: 1, spread: "even" } }],
  ["tide-board", "random delays, inputs busy", { delays: { seed: 1, spread: "even" }, busy: true }],
  ["tide-board", "the same, watched", { delays: { seed: 1, spread: "even" }, busy: true, watch: true }],
  ["tide-board", "typical delays, memory bits marked", { marks: true }],
  ["tide-board-wide", "typical delays", {}],
];
for (const [name, what, options] of runs) console.log(`${name}, ${what}: ${timeFrames(open(name), options)}`);
