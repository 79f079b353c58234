import type { Circuit } from "../../circuit/index.js";
import { type Change, movedBy } from "./change.js";

/**
 * The same changes with those of the same chips as one: what was put in a chip's place, and then something else in that. `before`
 * is the circuit without them, `after` with all of them.
 */
export function compact(before: Circuit, after: Circuit, changes: readonly Change[]): readonly Change[] {
  const groups: { refs: Set<string>; changes: Change[] }[] = [];
  for (const change of changes) {
    const refs = new Set(refsOf(change));
    const own = groups.filter((group) => [...refs].some((ref) => group.refs.has(ref)));
    const joined = {
      refs: new Set([...refs, ...own.flatMap((group) => [...group.refs])]),
      changes: [...changes].filter((one) => one === change || own.some((group) => group.changes.includes(one))),
    };
    for (const group of own) groups.splice(groups.indexOf(group), 1);
    groups.push(joined);
  }
  return groups.flatMap((group) => asOne(before, after, group.changes, [...group.refs]));
}

/** Chips that a change puts something else in the place of, or adds. */
function refsOf({ edits }: Change): readonly string[] {
  return edits.flatMap((edit) =>
    edit.kind === "part" || edit.kind === "pins" || edit.kind === "chip" ? [edit.chip] : [],
  );
}

function asOne(
  before: Circuit,
  after: Circuit,
  changes: readonly Change[],
  refs: readonly string[],
): readonly Change[] {
  const [first] = changes;
  if (!first || changes.length === 1) return changes;
  const partIn = ({ chips }: Circuit, ref: string) => chips.find((chip) => chip.ref === ref)?.part;
  const [old, ...others] = refs.filter((ref) => partIn(before, ref));
  const isOfOneChip = others.length === 0 && changes.every(({ kind }) => kind === "part" || kind === "other pins");
  const own = old === undefined ? undefined : partIn(before, old);
  const edits = changes.flatMap((change) => change.edits);
  const pins = [...new Set(changes.flatMap(({ moved }) => Object.keys(moved ?? {})))];
  const moved = Object.fromEntries(pins.map((pin) => [pin, movedBy(changes, pin)]));
  const common = { edits, moved, chips: changes.reduce((sum, { chips }) => sum + chips, 0), promise: first.promise };
  if (!isOfOneChip || !own || old === undefined || hasGates(changes)) {
    const kind = changes.find((change) => change.kind !== "part")?.kind ?? "part";
    return [{ ...common, kind, what: changes.map(({ what }) => what).join("; then ") }];
  }
  const inverters = [...new Set(changes.flatMap((change) => change.inverters ?? []))];
  const beside = inverters.length === 0 ? "" : ` with ${inverters.join(" and ")}`;
  // Chips that came with the inverters are named beside.
  const named = refs.filter((ref) => !inverters.some((text) => text.split(/[ (,)]+/).includes(ref)));
  const numbers = named.map((ref) => partIn(after, ref)?.number ?? "");
  if (refs.length > 1) {
    const what = `${named.join(", ")}: ${numbers.join(", ")}${beside} in place of ${old}'s ${own.number}`;
    return [{ ...common, kind: "other pins", what }];
  }
  const [number = ""] = numbers;
  if (number === own.number) return [];
  const isSamePins = partIn(after, old)?.behaviour === own.behaviour;
  const what = `${old}: ${number}${beside} in place of ${isSamePins ? "" : `${old}'s `}${own.number}`;
  // With the same pins only the last part counts.
  const last = isSamePins && changes.every(({ kind }) => kind === "part") ? (changes.at(-1)?.edits ?? edits) : edits;
  return [{ ...common, edits: last, kind: isSamePins ? "part" : "other pins", what }];
}

/** Whether gates were taken out of a chip, which then is still there. */
function hasGates(changes: readonly Change[]): boolean {
  return changes.some(({ kind, edits }) => kind === "other pins" && edits.every((edit) => edit.kind !== "pins"));
}
