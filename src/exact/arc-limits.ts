import { type Change, type Edge, isMissing } from "../parts/index.js";
import type { ChipModel, OutputModel } from "../timing/index.js";
import { NotTold } from "./bundle.js";
import type { Input } from "./output-cluster.js";

const CHANGES: readonly Change[] = ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z"];
const EDGES: readonly Edge[] = ["rise", "fall"];

/** Delays in femtoseconds. */
interface ArcLimits {
  readonly min: number;
  readonly max: number;
}

const known = new WeakMap<OutputModel, Map<string, ArcLimits>>();

/** The shortest and the longest of the delays from an input to an output. Throws NotTold where no figure is on record. */
export function arcLimits(chip: ChipModel, output: OutputModel, input: Pick<Input, "pin" | "storedAt">): ArcLimits {
  const own = known.get(output) ?? new Map<string, ArcLimits>();
  known.set(output, own);
  const key = `${input.pin} ${input.storedAt ?? ""}`;
  const limits = own.get(key) ?? findLimits(chip, output, input);
  own.set(key, limits);
  return limits;
}

function findLimits(
  { chip }: ChipModel,
  output: OutputModel,
  { pin, storedAt }: Pick<Input, "pin" | "storedAt">,
): ArcLimits {
  let [min, max] = [Infinity, -Infinity];
  for (const edge of storedAt ? [storedAt] : EDGES) {
    for (const change of CHANGES) {
      if (change.includes("z") && !output.enable) continue;
      const figure = chip.part.figures.delay(pin, edge, output.pin, change);
      if (isMissing(figure)) continue;
      [min, max] = [Math.min(min, figure.min), Math.max(max, figure.max)];
    }
  }
  if (min > max) throw new NotTold("no figures");
  return { min, max };
}
