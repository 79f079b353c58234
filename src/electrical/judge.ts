import type { Circuit } from "../circuit/index.js";
import { type IdleAcceptance, acceptIn, worstFirst } from "../verdict/index.js";
import { decouplingAdvice, decouplingVerdicts } from "./decoupling-rule.js";
import { type ElectricalVerdict, relativeMargin } from "./verdict.js";

/** What a rule may need besides the circuit. What is absent was not worked out, and a rule says what it then leaves open. */
export interface ElectricalOptions {
  /** Edges a second of each net, by its id: what a simulation of a whole frame counted. */
  readonly edgesPerSecond?: ReadonlyMap<number, number>;
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

const rules: readonly Rule[] = [decouplingVerdicts];

/** What helps a circuit and is judged by no rule. */
export type Adviser = (circuit: Circuit, options: ElectricalOptions) => readonly Advice[];

const advisers: readonly Adviser[] = [decouplingAdvice];

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
