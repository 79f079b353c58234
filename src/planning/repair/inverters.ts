import type { Chip, Circuit } from "../../circuit/index.js";
import { type Part, families, findPart, functionsOf, isPartProblem } from "../../parts/index.js";
import { inNs } from "../../quantity/index.js";
import { conditionsFor, knownDelay } from "./gain.js";
import { gatesOf } from "./gate-cells.js";
import { asksForTtl } from "./passing-gates.js";
import { runsFrom } from "./stand-in.js";

/** A chip of inverters, by the pins of one of them. */
export interface Inverter {
  readonly part: Part;
  readonly input: string;
  readonly output: string;
}

/** Inverters that run from a chip's supply: for each kind of levels that inputs ask for the quickest family. */
export function inverters(circuit: Circuit, chip: Chip): readonly Inverter[] {
  const all = families
    .filter((family) => functionsOf(family).includes(FUNCTION) && runsFrom(chip, family, FUNCTION))
    .flatMap((family) => {
      const part = findPart(`74${family}${FUNCTION}`, conditionsFor(circuit, chip));
      if (isPartProblem(part) || !part.package.isDual) return [];
      const [cell] = gatesOf(part.behaviour) ?? [];
      const [input] = cell?.inputs ?? [];
      if (!cell || input === undefined) return [];
      const edges = (["rise", "fall"] as const).map((edge) =>
        knownDelay(part, input, edge === "rise" ? "fall" : "rise", cell.output, edge),
      );
      const most = Math.max(...edges.map((delay) => (delay ? inNs(delay.max) : Infinity)));
      return Number.isFinite(most) ? [{ inverter: { part, input, output: cell.output }, most }] : [];
    })
    .sort((a, b) => a.most - b.most);
  return [true, false].flatMap(
    (isTtl) => all.find(({ inverter }) => asksForTtl(inverter.part) === isTtl)?.inverter ?? [],
  );
}

const FUNCTION = "04";
