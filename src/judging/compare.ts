import type { ElectricalVerdict } from "../electrical/index.js";
import { type Measure, measure } from "../quantity/index.js";
import type { Verdict } from "../timing/index.js";
import { countsAgainst, type Judged, type VerdictState } from "../verdict/index.js";
import { type CircuitChange, circuitChanges } from "./circuit-changes.js";
import type { Judgement } from "./judge.js";

/** How one verdict stood and stands. */
export interface MovedVerdict {
  readonly name: string;
  /** Absent where the verdict was not there, or is not there any more. */
  readonly before?: VerdictState;
  readonly after?: VerdictState;
  readonly marginBefore?: Measure;
  readonly marginAfter?: Measure;
  /** After less before. */
  readonly moved?: Measure;
  /** Counts against the circuit now and did not before, or has less margin. */
  readonly isWorse: boolean;
  /** Changes of the circuit at chips that its chains of delays go through; none where only others can have done it. */
  readonly because: readonly CircuitChange[];
}

/** Two versions of a circuit beside each other. */
export interface JudgementComparison {
  readonly changes: readonly CircuitChange[];
  /** What moved, what is new and what is gone: worst first. What stayed the same is left out. */
  readonly moved: readonly MovedVerdict[];
  /** Verdicts that are the same in both. */
  readonly unmoved: number;
}

/** Which verdicts moved from one version of a circuit to the other, by how much, and which changes they meet on their way. */
export function compareJudgements(before: Judgement, after: Judgement): JudgementComparison {
  const changes = circuitChanges(before.loaded, after.loaded);
  const moved: MovedVerdict[] = [];
  let unmoved = 0;
  const add = <V extends Judged>(
    [one, other]: readonly [readonly V[], readonly V[]],
    marginOf: (verdict: V) => Measure | undefined,
    refsOf: (verdict: V) => readonly string[],
  ) => {
    const [was, is] = [byPlace(one), byPlace(other)];
    for (const key of new Set([...was.keys(), ...is.keys()])) {
      const [then, now] = [was.get(key), is.get(key)];
      const name = now?.name ?? then?.name ?? key;
      if (then && now && then.state === now.state && then.margin === now.margin) unmoved++;
      else moved.push(movedVerdict(name, then, now, marginOf, refsOf, changes));
    }
  };
  add([before.proof.verdicts, after.proof.verdicts], timeOf, refsOfTiming);
  add([before.electrical.verdicts, after.electrical.verdicts], amountOf, refsOfElectrical);
  return { changes, moved: moved.sort(worstFirst), unmoved };
}

/**
 * Verdicts by their names, but without what another part in the same place changes: a level from `LS to HC` is the same place
 * as one from `HCT to HC`. Where that leaves two alike, each goes by its whole name.
 */
function byPlace<V extends Judged>(verdicts: readonly V[]): ReadonlyMap<string, V> {
  const places = new Map<string, V[]>();
  for (const verdict of verdicts) {
    const { head, item } = verdict.nameParts;
    const place = `${head.replace(/ (?:HC|HCT|AHC|AHCT|AC|ACT|LS|ALS|F|LVC)$/, "")}|${item}`;
    places.set(place, [...(places.get(place) ?? []), verdict]);
  }
  return new Map(
    [...places].flatMap(([place, here]) => here.map((verdict) => [here.length > 1 ? verdict.name : place, verdict])),
  );
}

function movedVerdict<V extends Judged>(
  name: string,
  then: V | undefined,
  now: V | undefined,
  marginOf: (verdict: V) => Measure | undefined,
  refsOf: (verdict: V) => readonly string[],
  changes: readonly CircuitChange[],
): MovedVerdict {
  const [marginBefore, marginAfter] = [then && marginOf(then), now && marginOf(now)];
  const moved = marginBefore && marginAfter && measure(marginAfter.quantity, marginAfter.amount - marginBefore.amount);
  const refs = new Set([...(then ? refsOf(then) : []), ...(now ? refsOf(now) : [])]);
  const [was, is] = [then !== undefined && countsAgainst(then), now !== undefined && countsAgainst(now)];
  return {
    name,
    ...(then && { before: then.state }),
    ...(now && { after: now.state }),
    ...(marginBefore && { marginBefore }),
    ...(marginAfter && { marginAfter }),
    ...(moved && { moved }),
    isWorse: (is && !was) || (is === was && (moved?.amount ?? 0) < 0),
    because: changes.filter((change) => change.refs.some((ref) => refs.has(ref))),
  };
}

/** What counts against the circuit now and did not before, other losses, what is mended, what is new or gone, gains. */
function worstFirst(a: MovedVerdict, b: MovedVerdict): number {
  const rank = ({ before, after, isWorse }: MovedVerdict) => {
    if (isWorse) return after === "holds" ? 1 : 0;
    if (before === undefined || after === undefined) return 3;
    return before === after ? 4 : 2;
  };
  return rank(a) - rank(b) || (a.moved?.amount ?? 0) - (b.moved?.amount ?? 0) || (a.name < b.name ? -1 : 1);
}

function timeOf({ margin }: Verdict): Measure | undefined {
  return margin === undefined ? undefined : measure("time", margin);
}

function amountOf({ quantity, margin }: ElectricalVerdict): Measure | undefined {
  return margin === undefined ? undefined : measure(quantity, margin);
}

function refsOfTiming({ chip, reference, chains }: Verdict): readonly string[] {
  const steps = chains ? [...chains.earlier, ...chains.later] : [];
  return [chip, refIn(reference), ...steps.map((step) => step.chip)].filter((ref) => ref !== "");
}

function refsOfElectrical({ chip, reference }: ElectricalVerdict): readonly string[] {
  return [chip, refIn(reference)].filter((ref) => ref !== "");
}

/** The chip of `U22 1Q`. */
function refIn(place: string): string {
  return place.includes(" ") ? (place.split(" ")[0] ?? "") : "";
}
