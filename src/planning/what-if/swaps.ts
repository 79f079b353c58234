import type { Chip, Circuit } from "../../circuit/index.js";
import { substitutesFor } from "../../parts/index.js";
import { ns } from "../../quantity/index.js";
import type { Edit } from "../repair/edits.js";
import { conditionsFor, gainOf } from "../repair/gain.js";
import type { TimedVerdict } from "./outcome.js";

/** Another part in one chip's place. */
export interface Swap {
  readonly chip: string;
  readonly from: string;
  readonly to: string;
  /** What a builder has to think of, in words. */
  readonly differences: readonly string[];
  readonly edit: Edit;
  /** How high the clock goes by the chains that are known, with the other part's figures. */
  readonly promised: number;
}

/**
 * Other parts for one chip by how far they let the clock go at most: by the chains that were found to bind it, with the
 * other part's figures. Only chips on those chains can help at all. Those that do, the most promising first, one a chip
 * before a second of any.
 */
export function swapsFor(
  circuit: Circuit,
  verdicts: readonly TimedVerdict[],
  reach: (verdict: TimedVerdict) => number,
): readonly Swap[] {
  const [first, ...others] = verdicts;
  if (!first) return [];
  const binding = others.reduce((least, one) => (reach(one) < reach(least) ? one : least), first);
  const limit = reach(binding);
  const found = involved(circuit, binding).flatMap((chip) =>
    substitutesFor(chip.part, conditionsFor(circuit, chip))
      .filter(({ part, differences }) => part.package.isDual && !differences.some((text) => /made for/.test(text)))
      .map(({ part, differences }) => {
        const highest = verdicts.reduce((least, verdict) => {
          const gain = gainOf(verdict, chip, part);
          const moved = { ...verdict, margin: ns(verdict.margin / 1e6 + Math.max(-1e3, gain)) };
          const reached = reach(moved);
          // What falls short whatever the clock, as a hold time does, falls short at any.
          return Math.min(least, moved.margin < 0 && reached === Infinity ? 0 : reached);
        }, Infinity);
        const edit: Edit = { kind: "part", chip: chip.ref, part: part.number };
        const [from, to] = [chip.part.number, part.number];
        return { highest, swap: { chip: chip.ref, from, to, differences, edit, promised: highest } };
      })
      .filter(({ highest }) => highest > limit)
      .sort((a, b) => b.highest - a.highest),
  );
  const rank = ({ swap }: (typeof found)[number]) =>
    found.filter((one) => one.swap.chip === swap.chip).findIndex((one) => one.swap === swap);
  return [...found].sort((a, b) => rank(a) - rank(b) || b.highest - a.highest).map(({ swap }) => swap);
}

/** Chips whose delays or requirements a verdict counts with. */
function involved({ chips }: Circuit, { chip, chains }: TimedVerdict): readonly Chip[] {
  const refs = new Set([
    chip,
    ...[...chains.earlier, ...chains.later]
      .filter(({ kind, cancelled }) => kind === "arc" && !cancelled)
      .map((step) => step.chip),
  ]);
  return chips.filter(({ ref }) => refs.has(ref));
}
