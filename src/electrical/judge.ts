import type { Circuit } from "../circuit/index.js";
import type { Fs } from "../quantity/index.js";
import { type IdleAcceptance, acceptIn, worstFirst } from "../verdict/index.js";
import { contentionVerdicts } from "./contention-rule.js";
import { decouplingAdvice, decouplingVerdicts } from "./decoupling-rule.js";
import { pinVerdicts } from "./pin-rules.js";
import { powerAdvice, powerVerdicts } from "./power-rule.js";
import { switchingAdvice } from "./switching-advice.js";
import { type ElectricalVerdict, relativeMargin } from "./verdict.js";
import { videoAdvice, videoVerdicts } from "./video-rule.js";
import { wireAdvice } from "./wire-advice.js";

/** What a rule may need besides the circuit. What is absent was not worked out, and a rule says what it then leaves open. */
export interface ElectricalOptions {
  /** Edges a second of each net, by its id, as a simulation counted them. */
  readonly edgesPerSecond?: ReadonlyMap<number, number>;
  /** The most outputs of a chip that change together, by its ref. */
  readonly outputsTogether?: ReadonlyMap<string, number>;
  /** How long each net goes undriven at most, by its name, as the proof found it. */
  readonly undrivenFor?: ReadonlyMap<string, Fs>;
  /** Outputs that drive one net against each other, as the proof and a simulation found them. */
  readonly fights?: readonly Fight[];
  /** The system of composite video whose line rate the raster has. */
  readonly compositeSystem?: "525" | "625";
}

/** Two outputs that drive one net against each other, at worst for so long and so often. */
export interface Fight {
  /** Its id. */
  readonly net: number;
  /** `U22 1Q`, both. */
  readonly pins: readonly [string, string];
  /** Of one fight, in seconds. */
  readonly longest: number;
  /** How many there are a second. */
  readonly perSecond: number;
}

/** What helps and is no verdict: it neither holds nor fails. */
export interface Advice {
  /** What it is about: `wires`. */
  readonly subject: string;
  /** A sentence or two. */
  readonly text: string;
  readonly source: string;
}

export interface ElectricalFindings {
  /** Worst first. */
  readonly verdicts: readonly ElectricalVerdict[];
  readonly advice: readonly Advice[];
  /** Acceptances that accept none of these verdicts; those of the timing's are among them. */
  readonly idleAcceptances: readonly IdleAcceptance[];
}

/** One rule, at every place of the circuit where it applies. */
export type Rule = (circuit: Circuit, options: ElectricalOptions) => readonly ElectricalVerdict[];

const rules: readonly Rule[] = [pinVerdicts, videoVerdicts, powerVerdicts, contentionVerdicts, decouplingVerdicts];

/** What helps a circuit and is judged by no rule. */
export type Adviser = (circuit: Circuit, options: ElectricalOptions) => readonly Advice[];

const advisers: readonly Adviser[] = [videoAdvice, powerAdvice, switchingAdvice, decouplingAdvice, wireAdvice];

/** Judges every electrical rule at every place of a circuit. */
export function judgeElectrical(circuit: Circuit, options: ElectricalOptions = {}): ElectricalFindings {
  const verdicts = rules.flatMap((rule) => rule(circuit, options));
  const marked = acceptIn(verdicts, circuit.accepted, ({ quantity }) => quantity);
  return {
    verdicts: worstFirst(marked.verdicts, relativeMargin),
    advice: advisers.flatMap((advise) => advise(circuit, options)),
    idleAcceptances: marked.idleAcceptances,
  };
}
