import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { type PlacedName, namesInKey, namesInValue } from "./net-names.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";
import type { Loose, Sections } from "./sections.js";
import type { ChipEntry } from "./shape.js";
import type { WrittenChip, WrittenPin } from "./wiring.js";

/** Reads the chips as written, with pin lists and ranges written out. `isWhole` tells of chips with parts left out. */
export function readChips(
  sections: Sections,
  isWhole: (ref: string) => boolean,
  context: FileContext,
): readonly WrittenChip[] {
  return sections.chips.map(([ref, entry]) => readChip(ref, entry, isWhole(ref), context));
}

function readChip(ref: string, entry: Loose<ChipEntry>, isWhole: boolean, context: FileContext): WrittenChip {
  const path = ["chips", ref];
  let isComplete = isWhole;
  const pins = Object.entries(entry.pins ?? {}).flatMap(([key, value]): readonly WrittenPin[] => {
    const pinsPath = [...path, "pins", key];
    const names = namesInKey(pinsPath, context);
    const nets = namesInValue(value, pinsPath, context);
    const paired = pairPins(names, nets, context.source.valueAt(pinsPath), context.report);
    isComplete &&= paired !== undefined;
    return paired ?? [];
  });
  return {
    ref,
    at: context.source.keyAt(path),
    ...(entry.part === undefined ? {} : { part: entry.part.trim() }),
    partAt: context.source.valueAt([...path, "part"]),
    note: (entry.note ?? "").trim(),
    pins,
    isComplete,
  };
}

/**
 * Pairs pins with nets: one net for all of them, or one each. Undefined where the numbers do not fit, which is reported at
 * `at`, or where there is nothing to pair.
 */
export function pairPins(
  pins: readonly PlacedName[],
  nets: readonly PlacedName[],
  at: Span,
  report: Report,
): readonly WrittenPin[] | undefined {
  const [only] = nets;
  if (pins.length === 0 || !only) return undefined;
  if (nets.length !== 1 && nets.length !== pins.length)
    return report.add(at, say.widthMismatch(pins.length, nets.length));
  return pins.map(({ name, span }, index) => {
    const net = nets.length === 1 ? only : (nets[index] ?? only);
    return { pin: name, at: span, net: net.name, netAt: net.span };
  });
}
