import type { Circuit } from "../../src/circuit/circuit.js";
import { cornerOf, stepKey } from "../../src/evidence/corner.js";
import { findWitnesses } from "../../src/evidence/index.js";
import { type Rest, stage } from "../../src/evidence/scene.js";
import { type Fs, fs } from "../../src/quantity/index.js";
import { type Tables, Watch, compileTables } from "../../src/simulation/index.js";
import { type ChainStep, type Proof, type Verdict, prove } from "../../src/timing/index.js";
import { type Sketch, circuitOfSketch } from "./clocked-circuit.js";
import { randomNumbers } from "./random-bits.js";
import { randomSketch } from "./random-clocked-circuit.js";

/** Every corner is run where no more arcs than this are free; of others so many drawn by lot. */
const MOST_FREE = 12;
const DRAWN_CORNERS = 64;
/** Boards whose arcs lie anywhere within their limits, for each margin. */
const DRAWN_VALUES = 16;
/** Circuits that come back later than this are left out, in oscillator periods. */
const MOST_TICKS = 64;
/** Longer than any gap of interest, in oscillator periods: what a board's watch is asked for. */
const ASKED_PERIODS = 0.9;
const MARGINS_OF_A_CIRCUIT = 3;
const RESTS: readonly Rest[] = ["typical", "earliest", "latest", { seed: 1, spread: "ends" }];
const rules: ReadonlySet<string> = new Set(["set-up", "hold", "recovery", "pulse width", "clock period"]);

export interface CornerTally {
  boards: number;
  margins: number;
  /** Margins of which every corner was run. */
  whole: number;
  /** Margins that a board has exactly. */
  attained: number;
  /** Boards with less than a proved margin. */
  readonly beaten: string[];
}

/** Runs boards at corners, and within limits, of the margins of random circuits in which all holds. */
export function tallyCorners(firstSeed: number, boards: number): CornerTally {
  const tally: CornerTally = { boards: 0, margins: 0, whole: 0, attained: 0, beaten: [] };
  for (let seed = firstSeed; tally.boards < boards; seed++) runCircuit(randomSketch(seed, { inputs: false }), tally);
  return tally;
}

function runCircuit(sketch: Sketch, tally: CornerTally): void {
  const circuit = circuitOfSketch(sketch);
  const proof = prove(circuit, { mostTicks: MOST_TICKS });
  if (proof.cycleTicks === 0 || proof.verdicts.some(({ state }) => state !== "holds")) return;
  const timed = proof.verdicts.filter(({ rule, chains, margin }) => rules.has(rule) && chains && margin !== undefined);
  const asking = compileTables(circuitOfSketch(sketch, ASKED_PERIODS));
  for (const verdict of timed.slice(0, MARGINS_OF_A_CIRCUIT))
    runMargin({ circuit, proof, asking }, verdict, sketch, tally);
}

/** A circuit, its proof, and the same circuit with requirements longer than any gap. */
interface Board {
  readonly circuit: Circuit;
  readonly proof: Proof;
  readonly asking: Tables;
}

function runMargin({ circuit, proof, asking }: Board, verdict: Verdict, sketch: Sketch, tally: CornerTally): void {
  const ticks = proof.leadTicks + 2 * proof.cycleTicks;
  const { chains, available = Infinity } = verdict;
  if (!chains) return;
  const steps = [...chains.earlier, ...chains.later].filter(({ kind, cancelled }) => kind === "arc" && !cancelled);
  const free = [...new Map(steps.map((step) => [stepKey(step), step])).values()].filter(({ min, max }) => min < max);
  const random = randomNumbers(sketch.seed);
  let least = Infinity;
  const run = (values: ReadonlyMap<string, Fs>, rest: Rest) => {
    const corner = cornerOf(circuit, chains, values);
    const { simulator, oscillator } = stage(asking, { corner, rest, seed: sketch.seed, busy: false });
    const watch = new Watch(simulator);
    simulator.run(fs(oscillator.start + ticks * oscillator.period));
    for (const { rule, chip, pin, reference, required, actual } of watch.violations) {
      const isHere = rule === verdict.rule && chip.ref === verdict.chip && pin === verdict.pin;
      const isSameLevel = rule !== "pulse width" || required.kind === verdict.symbol.replace("tw", "width");
      const isOne = rule === "pulse width" || rule === "clock period";
      if (!isHere || !isSameLevel || (!isOne && reference !== verdict.reference)) continue;
      least = Math.min(least, actual);
      if (actual < available)
        tally.beaten.push(`${verdict.name} of circuit ${sketch.seed}: ${actual} < ${available} fs`);
    }
    tally.boards++;
  };
  const isWhole = free.length <= MOST_FREE;
  const corners = isWhole ? 2 ** free.length : DRAWN_CORNERS;
  for (let corner = 0; corner < corners; corner++) {
    const bits = isWhole ? corner : random(2 ** 30);
    run(
      valuesOf(free, ({ min, max }, index) => ((bits >> (index % 30)) & 1 ? max : min)),
      RESTS[corner % RESTS.length] ?? "typical",
    );
  }
  for (let drawn = 0; drawn < DRAWN_VALUES; drawn++) {
    run(
      valuesOf(free, ({ min, max }) => fs(min + random(max - min + 1))),
      { seed: drawn, spread: "ends" },
    );
  }
  // Every arc that counts at its own limit: the board that the margin is of.
  for (const rest of RESTS) run(new Map(), rest);
  tally.margins++;
  if (isWhole) tally.whole++;
  if (least === available || findWitnesses(circuit, [verdict], proof).get(verdict.name)?.isWorst) tally.attained++;
}

function valuesOf(steps: readonly ChainStep[], value: (step: ChainStep, index: number) => Fs): ReadonlyMap<string, Fs> {
  return new Map(steps.map((step, index) => [stepKey(step), value(step, index)]));
}
