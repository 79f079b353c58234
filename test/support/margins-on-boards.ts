import { readFileSync, readdirSync } from "node:fs";
import { type Circuit, readCircuit } from "../../src/circuit/index.js";
import { findWitnesses } from "../../src/evidence/index.js";
import { findPart } from "../../src/parts/index.js";
import { type Proof, type Verdict, prove } from "../../src/timing/index.js";
import { circuitOfSketch } from "./clocked-circuit.js";
import { randomSketch } from "./random-clocked-circuit.js";
import { holdMargins } from "./racing/hold-margins.js";
import { circuitOf, randomRacingCircuit } from "./racing/random-racing-circuit.js";
import type { Solver } from "./racing/smt.js";

/** The worst that boards of one circuit do within all limits: the margin in femtoseconds by the verdict's name. */
export type MarginsOnBoards = Readonly<Record<string, number | typeof HAPPENS>>;

/** What happens on a board without a time that says how bad it is. */
export const HAPPENS = "happens";

const RULES = new URL("../../examples/rules/", import.meta.url);
const SKETCHES = 50;
const RACES = 80;
/** A circuit that comes back later is left out, in oscillator periods. */
const MOST_TICKS = 1000;
/** Of a circuit with fewer there is little to compare. */
const FEWEST_MARGINS = 4;

/** The circuit that a name in the table stands for. Throws RangeError for a name of none. */
export function smallCircuit(name: string): Circuit {
  const [kind = "", which = ""] = name.split(" ");
  if (kind === "race") return circuitOf(randomRacingCircuit(Number(which)));
  if (kind === "sketch") return circuitOfSketch(sketchOf(Number(which)));
  const { circuit } = readCircuit(readFileSync(new URL(which, RULES), "utf8"), which, { findPart });
  if (!circuit) throw new RangeError(`no circuit ${name}`);
  return circuit;
}

/** Every other one has signals from outside. */
function sketchOf(seed: number) {
  return randomSketch(seed, { inputs: seed % 2 === 0 });
}

export function proveSmall(circuit: Circuit): Proof {
  return prove(circuit, { mostTicks: MOST_TICKS });
}

/** What a proof says of the things that a board can show, as the table has it. */
export function provedMargins({ verdicts }: Proof): MarginsOnBoards {
  return marginsOf(verdicts.filter(isShown));
}

function marginsOf(verdicts: readonly Verdict[]): MarginsOnBoards {
  return Object.fromEntries(verdicts.map(({ name, margin }) => [name, margin ?? HAPPENS] as const));
}

/** Whether a simulated board can show what the verdict says: a margin, or that something happens. */
function isShown({ rule, margin, state }: Verdict): boolean {
  return rule !== "power-up" && (margin !== undefined || state !== "holds");
}

/**
 * Circuits of which boards show every failure, and the margins that boards have. In the races a solver of satisfiability modulo
 * theories says what the worst of all boards does; in the others a simulated board has the margin.
 */
export async function marginsOnBoards(solver: Solver): Promise<Readonly<Record<string, MarginsOnBoards>>> {
  const table: Record<string, MarginsOnBoards> = {};
  const add = (name: string, margins: MarginsOnBoards | undefined): number => {
    if (!margins || Object.keys(margins).length < FEWEST_MARGINS) return 0;
    table[name] = margins;
    return 1;
  };
  for (const file of readdirSync(RULES).sort()) add(`rule ${file}`, simulated(smallCircuit(`rule ${file}`)));
  for (let seed = 1, found = 0; found < SKETCHES; seed++) {
    found += add(`sketch ${seed}`, simulated(smallCircuit(`sketch ${seed}`)));
  }
  for (let seed = 1, found = 0; found < RACES; seed++) found += add(`race ${seed}`, await decided(seed, solver));
  return table;
}

/** What simulated boards show. */
function simulated(circuit: Circuit): MarginsOnBoards | undefined {
  const proof = proveSmall(circuit);
  if (proof.cycleTicks === 0) return undefined;
  const witnesses = findWitnesses(circuit, proof.verdicts.filter(isShown), proof);
  return withEveryFailure(
    proof,
    proof.verdicts.filter(({ name }) => witnesses.get(name)?.isWorst),
  );
}

/** What the solver finds to be the worst of all boards, where bounds alone prove just that. */
async function decided(seed: number, solver: Solver): Promise<MarginsOnBoards | undefined> {
  const racing = randomRacingCircuit(seed);
  const { asked, differences } = await holdMargins(racing, solver);
  if (differences.length > 0) return undefined;
  const proof = proveSmall(circuitOf(racing));
  const margins = new Map(asked.map(({ verdict: { name, margin } }) => [name, margin]));
  return withEveryFailure(
    proof,
    proof.verdicts.filter(({ name, margin }) => margins.has(name) && margins.get(name) === margin),
  );
}

/** The margins of these verdicts; undefined where a failure is not among them. */
function withEveryFailure({ verdicts }: Proof, shown: readonly Verdict[]): MarginsOnBoards | undefined {
  const isLacking = verdicts.some((one) => one.state !== "holds" && isShown(one) && !shown.includes(one));
  return isLacking ? undefined : marginsOf(shown);
}
