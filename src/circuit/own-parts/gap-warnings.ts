import {
  type Conditions,
  type OwnParts,
  type Part,
  askedOf,
  findPartWith,
  inShort,
  isMissing,
  isPartProblem,
  ownFiguresOf,
} from "../../parts/index.js";
import type { FileContext } from "../file-context.js";
import type { Path } from "../value.js";
import * as say from "./messages.js";

/** A part of the file, and where the file first speaks of it. */
export interface StatedPart {
  readonly part: string;
  /** Empty of memories, which go by their numbers. */
  readonly family: string;
  readonly function: string;
  readonly at: Path;
  /** The supplies, in volts, that its rows are for. */
  readonly volts: readonly number[];
  /** Where a memory's times hold, in °C. */
  readonly celsius?: number;
}

/** A room at which every column of every sheet holds. */
const MILD = 25;

/** Warns of what nothing gives for a part of the file, at any of the supplies that its rows are for. */
export function warnOfGaps(own: OwnParts, parts: readonly StatedPart[], context: FileContext): void {
  const find = findPartWith(own);
  for (const { part: number, at, volts, celsius = MILD } of parts) {
    const gaps = volts.map((supply) => {
      const part = find(number, conditionsAt(supply, celsius));
      return isPartProblem(part) ? undefined : { part, asked: askedOf(part.behaviour, part.figures) };
    });
    const [first, ...rest] = gaps.flatMap((one) => one ?? []);
    if (!first) continue;
    const alwaysMissing = first.asked.filter(
      ({ figure }, index) => isMissing(figure) && rest.every(({ asked }) => isMissing(asked[index]?.figure ?? {})),
    );
    const short = inShort(first.part.behaviour, first.asked, (one) => alwaysMissing.includes(one));
    if (short.length > 0) context.complain([...at, "part"], say.missingFigures(number, short));
  }
}

function conditionsAt(volts: number, celsius: number): Conditions {
  return {
    supplyVolts: { min: volts, max: volts },
    ambientCelsius: { min: celsius, max: celsius },
    unstatedMinimum: { fractionOfTypical: 0.25 },
  };
}

/** What the file states of a part that a circuit uses, but not for the circuit's supply and ambient; in short. */
export function unusedUnder(
  own: OwnParts,
  part: Part,
  { volts, celsius = MILD }: StatedPart,
  conditions: Conditions,
): readonly string[] {
  const { makers: _makers, ...all } = conditions;
  const under = ownFiguresOf(own, part, all);
  if (!under) return [];
  const asked = askedOf(part.behaviour, under);
  const atHome = volts.map((supply) => {
    const figures = ownFiguresOf(own, part, conditionsAt(supply, celsius));
    return figures ? askedOf(part.behaviour, figures) : [];
  });
  const unused = asked.filter(
    ({ figure }, index) =>
      isMissing(figure) && atHome.some((list) => !isMissing(list[index]?.figure ?? { missing: "" })),
  );
  return inShort(part.behaviour, asked, (one) => unused.includes(one));
}
