import type { Chip, Circuit } from "../../circuit/index.js";
import { familyTraits, substitutesFor } from "../../parts/index.js";
import type { Verdict } from "../../timing/index.js";
import { type StandInTimes, conditionsFor, gainBy, timesOfPart } from "./gain.js";
import type { Change } from "./change.js";

/** What may stand in a chip's place. */
export interface StandIn {
  /** The same for the same stand-in of the chip after other chips were changed, whose free names then are others. */
  readonly key: string;
  readonly change: Change;
  /** Nanoseconds that it adds to a verdict's margin; `proved` are the chips that it rests on, as they were then. */
  gain(verdict: Verdict, proved: ReadonlyMap<string, Chip>): number;
}

export function standInOf(ref: string, key: string, change: Change, times: StandInTimes): StandIn {
  return {
    key,
    change,
    gain(verdict, proved) {
      const chip = proved.get(ref);
      return chip ? gainBy(verdict, chip, times) : 0;
    },
  };
}

/** Parts of other families and grades with the same pins, as far as they run from the chip's supply. */
export function samePins(circuit: Circuit, chip: Chip): readonly StandIn[] {
  const { part } = chip;
  return substitutesFor(part, conditionsFor(circuit, chip))
    .filter(({ part: other }) => other.behaviour === part.behaviour && (other.package.isDual || !part.package.isDual))
    .filter(({ differences }) => !differences.some((text) => /made for/.test(text)))
    .map(({ part: other }) => standInOf(chip.ref, other.number, partChange(chip, other.number, 1), timesOfPart(other)));
}

export function partChange(chip: Chip, part: string, promise: number): Change {
  const what = `${chip.ref}: ${part} in place of ${chip.part.number}`;
  return { what, kind: "part", edits: [{ kind: "part", chip: chip.ref, part }], chips: 0, promise };
}

/** Families whose parts run from a chip's supply. */
export function runsFrom({ supply: { volts } }: Chip, family: string, fn: string): boolean {
  const [least, most] = familyTraits(family, fn)?.supply ?? [0, Infinity];
  return least <= volts.min && volts.max <= most;
}
