import { type Judged, type VerdictState, countsAgainst, nameOf } from "./judged.js";

/** How verdicts stand in a summary: their state, with failures that are accepted apart. */
export type GroupState = VerdictState | "accepted";

/** Verdicts of one rule at the pins of one chip, or on the nets between two, that came out alike. */
export interface Group<V extends Judged> {
  /** `tAS U25 A0..A14`. */
  readonly label: string;
  readonly state: GroupState;
  readonly worst: V;
  /** Worst first. */
  readonly verdicts: readonly V[];
}

/** Puts verdicts that differ in the pin or the net alone together. They come worst first, and so do the groups. */
export function groupsOf<V extends Judged>(verdicts: readonly V[]): readonly Group<V>[] {
  const groups = new Map<string, V[]>();
  for (const verdict of verdicts) {
    const key = [ruleAtPlace(verdict), groupState(verdict)].join("|");
    groups.set(key, [...(groups.get(key) ?? []), verdict]);
  }
  return [...groups.values()].flatMap((members): Group<V>[] => {
    const [worst] = members;
    if (!worst) return [];
    const item = rangeText(members.map(({ nameParts }) => nameParts.item));
    return [{ label: nameOf({ ...worst.nameParts, item }), state: groupState(worst), worst, verdicts: members }];
  });
}

/** What verdicts share that differ in the pin or the net alone. */
export function ruleAtPlace({ nameParts: { head, tail } }: Pick<Judged, "nameParts">): string {
  return `${head}|${tail}`;
}

export function groupState(verdict: Judged): GroupState {
  return verdict.state === "fails" && !countsAgainst(verdict) ? "accepted" : verdict.state;
}

const MOST_PIECES = 4;
const SHORTEST_RANGE = 3;
const collator = new Intl.Collator("en", { numeric: true });

/** Names in few words: `A0..A14`, `1D..4D`, `QA, QB`, `D, LOAD#, ENP and 3 more`. */
export function rangeText(names: readonly string[]): string {
  const sorted = [...names].sort(collator.compare);
  const runs: string[][] = [];
  for (const name of sorted) {
    const run = runs.at(-1);
    const last = run?.at(-1);
    if (run && last !== undefined && follows(name, last)) run.push(name);
    else runs.push([name]);
  }
  const pieces = runs.flatMap((run) =>
    run.length < SHORTEST_RANGE ? run : [`${run[0] ?? ""}..${run[run.length - 1] ?? ""}`],
  );
  if (pieces.length <= MOST_PIECES) return pieces.join(", ");
  const shown = pieces.slice(0, MOST_PIECES - 1);
  return `${shown.join(", ")} and ${pieces.length - shown.length} more`;
}

/** Whether a name is the next of a bus: its last number one more, or its last letter the next of the alphabet. */
function follows(name: string, last: string): boolean {
  const [a, b] = [numbered(last), numbered(name)];
  if (a && b) return a.before === b.before && a.behind === b.behind && b.number === a.number + 1;
  return !a && !b && /^[A-Z]{1,2}$/.test(name) && name === last.slice(0, -1) + letterAfter(last);
}

function numbered(name: string): { before: string; number: number; behind: string } | undefined {
  const [, before, digits, behind] = /^(.*?)(\d+)(\D*)$/.exec(name) ?? [];
  if (before === undefined || digits === undefined || behind === undefined) return undefined;
  return { before, number: Number(digits), behind };
}

function letterAfter(name: string): string {
  return String.fromCharCode(name.charCodeAt(name.length - 1) + 1);
}
