/** `not settled`: the bounds cannot tell. `not covered`: a figure is missing. Both count like a failure. */
export type VerdictState = "holds" | "fails" | "not settled" | "not covered";

/** What a margin may rest on that no maker promises. */
export type Weakness = "assumed minimum" | "assumed levels" | "from memory" | "common practice" | "measured";

/**
 * A verdict's name in three pieces. Those that share head and tail stand together in a summary: `tAS U25` + `A3`,
 * `contention` + `MD0` + `U22/U25`.
 */
export interface NameParts {
  readonly head: string;
  readonly item: string;
  readonly tail: string;
}

export function nameOf({ head, item, tail }: NameParts): string {
  return [head, item, tail].filter((part) => part !== "").join(" ");
}

/** A failure that the builder accepts; `lapsed` where it has become worse than what was accepted. */
export interface Accepted<Size extends number = number> {
  readonly reason: string;
  readonly margin: Size;
  readonly lapsed: boolean;
}

/** What the verdicts of every engine have in common. */
export interface Judged {
  /** Short, unique, and the same from run to run: `set-up U7 2D`. */
  readonly name: string;
  readonly nameParts: NameParts;
  readonly rule: string;
  readonly state: VerdictState;
  /** In the base unit of what the verdict measures; absent where no number decides. */
  readonly margin?: number;
  readonly restsOn: readonly Weakness[];
  /** Figures that it needs and that no sheet on record gives. */
  readonly missing: readonly string[];
  readonly accepted?: Accepted;
}

/** Whether a verdict counts against the circuit. */
export function countsAgainst({ state, accepted }: Pick<Judged, "state" | "accepted">): boolean {
  return state !== "holds" && (accepted === undefined || accepted.lapsed);
}

/**
 * Worst first: failures by margin, what is not covered or not settled, accepted failures, then what holds by margin.
 * `sizeOf` tells how large a margin is, where verdicts measure different things.
 */
export function worstFirst<V extends Judged>(
  verdicts: readonly V[],
  sizeOf: (verdict: V) => number | undefined = ({ margin }) => margin,
): readonly V[] {
  // A failure without a margin is as bad as can be; what holds without one is in no danger.
  const marginOf = (verdict: V) =>
    sizeOf(verdict) ?? (verdict.state === "holds" ? Number.MAX_SAFE_INTEGER : -Number.MAX_SAFE_INTEGER);
  return [...verdicts].sort(
    (a, b) => rank(a) - rank(b) || marginOf(a) - marginOf(b) || collator.compare(a.name, b.name),
  );
}

const collator = new Intl.Collator("en", { numeric: true });
const ranks: Readonly<Record<VerdictState, number>> = { fails: 0, "not covered": 1, "not settled": 2, holds: 4 };

function rank(verdict: Judged): number {
  return verdict.state === "fails" && !countsAgainst(verdict) ? 3 : ranks[verdict.state];
}
