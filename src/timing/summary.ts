import type { Fs } from "../quantity/index.js";
import { type Group, groupState, groupsOf, ruleAtChip } from "./groups.js";
import { nsText } from "./ns-text.js";
import type { Proof } from "./prove.js";
import { type Verdict, type VerdictState, countsAgainst } from "./verdict.js";

/** A proof in a sentence and about ten lines. */
export interface Summary {
  /** `Every slot fits: 74 rules at 283 places hold; the worst margin is 1.30 ns, set-up U4 4D.` */
  readonly answer: string;
  readonly state: VerdictState;
  /** Every group that does not hold, worst first, then the tightest that holds of each rule. */
  readonly groups: readonly Group[];
  /** Groups that hold and that a tighter one of the same rule stands for. */
  readonly hidden: number;
}

/** What a person reads first. */
export function summary({ verdicts }: Pick<Proof, "verdicts">): Summary {
  const groups = groupsOf(verdicts);
  const tightest = new Map<string, Group>();
  for (const group of groups) {
    if (group.state === "holds" && !tightest.has(group.worst.rule)) tightest.set(group.worst.rule, group);
  }
  const shown = groups.filter((group) => group.state !== "holds" || tightest.get(group.worst.rule) === group);
  return {
    answer: answerTo(verdicts),
    state: verdicts.find(countsAgainst)?.state ?? (verdicts.length === 0 ? "not covered" : "holds"),
    groups: shown,
    hidden: groups.length - shown.length,
  };
}

/** Does every slot fit? */
function answerTo(verdicts: readonly Verdict[]): string {
  const [first] = verdicts;
  if (!first) return "Not known: there is nothing to prove in this circuit.";
  const inState = (state: VerdictState) => verdicts.filter((v) => v.state === state && countsAgainst(v));
  const fails = inState("fails");
  const accepted = verdicts.filter((verdict) => groupState(verdict) === "accepted").length;
  const remarks = [
    ...(["not covered", "not settled"] as const).flatMap((state) => {
      const count = inState(state).length;
      return count > 0 ? [`${count} ${count === 1 ? "is" : "are"} ${state}`] : [];
    }),
    ...(accepted > 0 ? [`${accepted} ${accepted === 1 ? "failure is" : "failures are"} accepted`] : []),
  ];
  const all = verdicts.length;
  const [worst] = fails;
  if (worst) {
    const by = worst.margin === undefined ? "" : `, the worst by ${nsText((0 - worst.margin) as Fs)} ns`;
    return sentence([
      `${fails.length} of ${all} checks ${fails.length === 1 ? "fails" : "fail"}${by}: ${worst.name}`,
      ...remarks,
    ]);
  }
  const against = verdicts.find(countsAgainst);
  if (against) return sentence([`Not known: of ${all} checks ${remarks.join("; ")}, first ${against.name}`]);
  const rules = new Set(verdicts.map(ruleAtChip)).size;
  const tight = verdicts.find(({ state, margin }) => state === "holds" && margin !== undefined);
  const margin = tight?.margin === undefined ? [] : [`the worst margin is ${nsText(tight.margin)} ns, ${tight.name}`];
  const places = `${rules} ${rules === 1 ? "rule" : "rules"} at ${all} ${all === 1 ? "place" : "places"}`;
  return sentence([`Every slot fits: ${places} ${rules === 1 ? "holds" : "hold"}`, ...margin, ...remarks]);
}

function sentence(parts: readonly string[]): string {
  return `${parts.join("; ")}.`;
}
