import type { Metastability } from "../parts/index.js";
import { parseSeconds } from "../quantity/index.js";
import type { FileContext } from "./file-context.js";
import { quantity } from "./header.js";
import * as say from "./messages.js";
import type { Sections } from "./sections.js";

/** Reads what the file says of how long flip-flops may stay undecided, by part number. */
export function readMetastability(
  sections: Sections,
  numbers: readonly string[],
  context: FileContext,
  suggest: (part: string) => string | undefined,
): ReadonlyMap<string, Metastability> {
  const found = new Map<string, Metastability>();
  for (const [part, entry] of sections.metastability) {
    const path = ["metastability", part];
    if (!numbers.includes(part)) context.complainOfKey(path, say.unknownMetastability(part, suggest(part)));
    const seconds = (key: "tau" | "T0") => {
      const text = entry[key];
      if (text === undefined) return undefined;
      const amount = quantity(context, [...path, key], text, parseSeconds);
      if (amount === undefined || amount > 0) return amount;
      context.complain([...path, key], say.notAboveZero([...path, key], text));
      return undefined;
    };
    const [tau, t0] = [seconds("tau"), seconds("T0")];
    if (tau === undefined || t0 === undefined) continue;
    const countedFrom = entry["counted from"] ?? "clock edge";
    found.set(part, { tau, t0, countedFrom, publishedFor: "", source: entry.source?.trim() ?? "", fromMemory: false });
  }
  return found;
}
