import type { Circuit } from "../../src/circuit/index.js";
import { type Proof, type Verdict, prove } from "../../src/timing/index.js";
import { type GivenFigures, buildCircuit, known, oscillator } from "../support/build-circuit.js";

/** Figures of a quick flip-flop, in ns. */
export const quick: GivenFigures = { delay: [2, 5, 20], setUp: 5, hold: 1, width: 10, period: 30 };

export interface ChainOptions {
  /** Of the oscillator, in ns. */
  readonly period?: number;
  readonly first?: GivenFigures;
  readonly second?: GivenFigures;
}

/**
 * Two registers on one clock of 100 ns with wires of 0 to 1 ns: U1 shifts its bits 1D to 3Q along, and U2 takes the last one,
 * NEXT.
 */
export function twoRegisters({ period = 100, first = quick, second = quick }: ChainOptions = {}): Circuit {
  return buildCircuit({
    wires: [0, 1],
    chips: {
      X1: [oscillator(period), "OUT=CK"],
      U1: [known("174", first), "CLK=CK CLR#=high 1D=TURN 1Q=ONE 2D=ONE 2Q=TWO 3D=TWO 3Q=NEXT 4D..6D=low"],
      U2: [known("175", second), "CLK=CK CLR#=high 1D=NEXT 1Q#=TURN 2D..4D=low"],
    },
  });
}

export function verdictOf(proof: Proof, name: string): Verdict {
  const found = proof.verdicts.find((verdict) => verdict.name === name);
  if (!found) throw new Error(`no ${name} in ${proof.verdicts.map((verdict) => verdict.name).join(", ")}`);
  return found;
}

/** The verdict of that name on a circuit. */
export function verdictOn(circuit: Circuit, name: string): Verdict {
  return verdictOf(prove(circuit), name);
}
