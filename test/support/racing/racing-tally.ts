import { type Held, holdMargins } from "./hold-margins.js";
import { type CellKind, type RacingCircuit, printRacing, randomRacingCircuit } from "./random-racing-circuit.js";
import { openSolver } from "./smt.js";

/** What was asked of the solver, and how often it agreed. */
export interface RacingTally {
  /** Circuits of which margins were asked, and of those: with joins that the later edge decides and joins that the earlier does. */
  circuits: number;
  bothJoins: number;
  vanishingPulses: number;
  handOvers: number;
  /** Circuits with a pulse at a strobe that may come or not, asked about instead. */
  pulses: number;
  held: number;
  failed: number;
  exact: number;
  pessimistic: number;
  /** Places, each with its circuit in lines, at which some board is worse than proved. */
  optimistic: string[];
  neverChecked: string[];
  /** Circuits that could not be asked about, by the reason. */
  readonly left: Map<string, number>;
}

/** Holds the proofs of the circuits of these seeds against the solver until so many circuits were asked about. */
export async function tallyRacing(firstSeed: number, circuits: number, mostPlaces?: number): Promise<RacingTally> {
  const tally: RacingTally = {
    ...{ circuits: 0, bothJoins: 0, vanishingPulses: 0, handOvers: 0, pulses: 0 },
    ...{ held: 0, failed: 0, exact: 0, pessimistic: 0 },
    ...{ optimistic: [], neverChecked: [], left: new Map() },
  };
  const solver = await openSolver();
  try {
    for (let seed = firstSeed; tally.circuits < circuits; seed++) {
      const racing = randomRacingCircuit(seed);
      add(tally, racing, await holdMargins(racing, solver, mostPlaces));
    }
  } finally {
    solver.close();
  }
  return tally;
}

function add(tally: RacingTally, racing: RacingCircuit, held: Held): void {
  if (held.why) {
    tally.left.set(held.why, (tally.left.get(held.why) ?? 0) + 1);
    return;
  }
  for (const { what, place } of held.differences) {
    const text = `${place}, in the circuit\n${printRacing(racing)}`;
    if (what === "optimistic") tally.optimistic.push(text);
    if (what === "never checked") tally.neverChecked.push(text);
    if (what === "pessimistic") tally.pessimistic++;
  }
  if (held.pulse) {
    tally.pulses++;
    return;
  }
  if (held.asked.length === 0) return;
  tally.circuits++;
  if (hasBothJoins(racing)) tally.bothJoins++;
  if (held.vanishing > 0) tally.vanishingPulses++;
  if (held.asked.some(({ verdict }) => verdict.rule === "contention")) tally.handOvers++;
  for (const { verdict } of held.asked) tally[verdict.state === "fails" ? "failed" : "held"]++;
  tally.exact += held.asked.length - held.differences.filter(({ what }) => what !== "never checked").length;
}

/**
 * Whether some gate changes with the later of two inputs and some with the earlier: each AND and each OR does both, the one
 * as it rises and the other as it falls, so one gate of two inputs that change at all is enough.
 */
function hasBothJoins({ cells }: RacingCircuit): boolean {
  return cells.some(({ kind, feeds }) => joins.has(kind) && new Set(Object.values(feeds)).size > 1);
}

const joins: ReadonlySet<CellKind> = new Set<CellKind>(["and", "nand", "or", "nor", "choose"]);
