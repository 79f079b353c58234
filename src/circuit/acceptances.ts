import { parseMeasure } from "../quantity/index.js";
import type { Acceptance } from "./circuit.js";
import type { FileContext } from "./file-context.js";
import { quantity } from "./header.js";
import * as say from "./messages.js";
import type { Sections } from "./sections.js";

/** Reads the failures that the builder accepts, each with its reason. */
export function readAcceptances(sections: Sections, context: FileContext): readonly Acceptance[] {
  return sections.accept.flatMap(({ verdict, margin, reason }, index) => {
    const path = ["accept", index];
    if (reason !== undefined && reason.trim() === "") context.complain([...path, "reason"], say.emptyReason());
    const size = margin === undefined ? undefined : quantity(context, [...path, "margin"], margin, parseMeasure);
    if (verdict === undefined || reason === undefined || size === undefined) return [];
    return [{ verdict: verdict.trim(), reason: reason.trim(), margin: size }];
  });
}
