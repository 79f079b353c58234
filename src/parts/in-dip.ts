import * as z from "zod";
import file from "#data/packages/in-dip.json" with { type: "json" };
import { families } from "./figure-rows.js";
import { packageOf } from "./package.js";
import type { Part } from "./part.js";
import { sourceLine } from "./source-line.js";

const answer = z.literal(["yes", "no", "not known"]);

const { rows } = z
  .strictObject({
    about: z.string(),
    rows: z.array(
      z.strictObject({
        families: z.array(z.string()),
        functions: z.array(z.string()).exactOptional(),
        inDip: answer,
        remark: z.string(),
        fromMemory: z.boolean(),
      }),
    ),
  })
  .parse(file);

/** Whether a part is or was made in a dual in-line package, and how sure that is. */
export interface DipRecord {
  readonly made: z.infer<typeof answer>;
  /** What to know when ordering; may be empty. */
  readonly remark: string;
  /** `from memory`, or the sheet that lists the packages. */
  readonly source: string;
}

/** The record of a logic part; `no` for functions that exist in small packages only, whatever the family. */
export function logicInDip(family: string, fn: string): DipRecord {
  const shape = packageOf(fn);
  if (shape && !shape.isDual) {
    return { made: "no", remark: `made as ${shape.name}`, source: sourceLine(shape.source) };
  }
  const row = rows.find((one) => one.families.includes(family) && (one.functions?.includes(fn) ?? true));
  if (!row) return { made: "not known", remark: "", source: "no package list on record" };
  return { made: row.inDip, remark: row.remark, source: row.fromMemory ? "from memory" : "" };
}

/** The record of any part: logic from its family, others, and a builder's own, from the package that is stated for them. */
export function partInDip({ family, behaviour, package: shape }: Part): DipRecord {
  if (families.includes(family) && shape.source.ownFile === undefined) return logicInDip(family, behaviour.function);
  return { made: shape.isDual ? "yes" : "no", remark: "", source: sourceLine(shape.source) };
}
