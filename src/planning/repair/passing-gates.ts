import type { Chip, Circuit } from "../../circuit/index.js";
import {
  type Part,
  families,
  familyTraits,
  findPart,
  functionsOf,
  isMissing,
  isPartProblem,
} from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import { conditionsFor } from "./gain.js";
import { runsFrom } from "./stand-in.js";

/** A gate of two inputs that passes a signal on. */
export interface PassingGate {
  readonly part: Part;
  /** Limits over both edges, in nanoseconds. */
  readonly least: number;
  readonly most: number;
}

/** Functions that pass on what stands at both inputs. */
const PASSING = ["08", "32"];

/**
 * Gates that pass a signal on, of the families that run from a chip's supply: those than which no other with inputs for the same
 * levels takes at least as long at its quickest and no longer at its slowest.
 */
export function passingGates(circuit: Circuit, chip: Chip): readonly PassingGate[] {
  const all = allPassingGates(circuit, chip);
  const beats = (one: PassingGate, other: PassingGate) =>
    asksForTtl(one.part) === asksForTtl(other.part) && one.least >= other.least && one.most <= other.most;
  return all.filter(
    (gate, at) => !all.some((other, index) => beats(other, gate) && !(beats(gate, other) && index >= at)),
  );
}

/** Whether a part's inputs are for TTL levels. */
export function asksForTtl({ family, behaviour }: Part): boolean {
  return familyTraits(family, behaviour.function)?.levels === "TTL";
}

function allPassingGates(circuit: Circuit, chip: Chip): readonly PassingGate[] {
  return PASSING.flatMap((fn) =>
    families
      .filter((family) => functionsOf(family).includes(fn) && runsFrom(chip, family, fn))
      .flatMap((family): readonly PassingGate[] => {
        const part = findPart(`74${family}${fn}`, conditionsFor(circuit, chip));
        if (isPartProblem(part) || !part.package.isDual) return [];
        const edges = (["rise", "fall"] as const).map((edge) => part.figures.delay("1A", edge, "1Y", edge));
        const known = edges.flatMap((delay) => (isMissing(delay) ? [] : [delay]));
        if (known.length < edges.length) return [];
        return [
          {
            part,
            least: Math.min(...known.map(({ min }) => inNs(min))),
            most: Math.max(...known.map(({ max }) => inNs(max))),
          },
        ];
      }),
  );
}
