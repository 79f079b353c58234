import { type Group, groupState, groupsOf, ruleAtPlace } from "./groups.js";
import { type Judged, type VerdictState, countsAgainst } from "./judged.js";

/** Many verdicts in a sentence and about ten lines. */
export interface Summary<V extends Judged> {
  /** `Every slot fits: 74 rules at 283 places hold; the worst margin is 1.30 ns, set-up U4 4D.` */
  readonly answer: string;
  readonly state: VerdictState;
  /** Every group that does not hold, worst first, then the tightest that holds of each rule. */
  readonly groups: readonly Group<V>[];
  /** Groups that hold and that a tighter one of the same rule stands for. */
  readonly hidden: number;
}

/** How one engine words its answer. */
export interface AnswerWords<V extends Judged> {
  /** `Every slot fits`. */
  readonly allHold: string;
  /** What stands before the number of failures; may be empty. */
  readonly before: string;
  /** The answer where there are no verdicts. */
  readonly nothing: string;
  /** A margin or a shortfall with its unit: `1.30 ns`. */
  readonly print: (verdict: V, margin: number) => string;
}

/** What a person reads first. The verdicts come worst first. */
export function summarise<V extends Judged>(verdicts: readonly V[], words: AnswerWords<V>): Summary<V> {
  const groups = groupsOf(verdicts);
  const tightest = new Map<string, Group<V>>();
  for (const group of groups) {
    if (group.state === "holds" && !tightest.has(group.worst.rule)) tightest.set(group.worst.rule, group);
  }
  const shown = groups.filter((group) => group.state !== "holds" || tightest.get(group.worst.rule) === group);
  return {
    answer: answerTo(verdicts, words),
    state: verdicts.find(countsAgainst)?.state ?? (verdicts.length === 0 ? "not covered" : "holds"),
    groups: shown,
    hidden: groups.length - shown.length,
  };
}

function answerTo<V extends Judged>(verdicts: readonly V[], words: AnswerWords<V>): string {
  const { allHold, before, nothing, print } = words;
  if (verdicts.length === 0) return nothing;
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
    const by = worst.margin === undefined ? "" : `, the worst by ${print(worst, -worst.margin)}`;
    return sentence([
      `${before}${fails.length} of ${all} checks ${fails.length === 1 ? "fails" : "fail"}${by}: ${worst.name}`,
      ...remarks,
    ]);
  }
  const against = verdicts.find(countsAgainst);
  if (against) return sentence([`${before}Not known: of ${all} checks ${remarks.join("; ")}, first ${against.name}`]);
  const rules = new Set(verdicts.map(ruleAtPlace)).size;
  const tight = verdicts.find(({ state, margin }) => state === "holds" && margin !== undefined);
  const margin =
    tight?.margin === undefined ? [] : [`the worst margin is ${print(tight, tight.margin)}, ${tight.name}`];
  const places = `${rules} ${rules === 1 ? "rule" : "rules"} at ${all} ${all === 1 ? "place" : "places"}`;
  return sentence([`${allHold}: ${places} ${rules === 1 ? "holds" : "hold"}`, ...margin, ...remarks]);
}

function sentence(parts: readonly string[]): string {
  return `${parts.join("; ")}.`;
}
