import type { FileContext } from "./file-context.js";
import { namesInKey, namesInValue } from "./net-names.js";
import { pairPins } from "./pairs.js";
import type { Loose, Sections } from "./sections.js";
import type { ChipEntry } from "./shape.js";
import type { WrittenChip } from "./wiring.js";

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
  const pairs = Object.entries(entry.pins ?? {}).map(([key, value]) => {
    const at = [...path, "pins", key];
    const pins = namesInKey(at, context);
    const nets = namesInValue(value, at, context);
    return pairPins(pins, nets, context.source.valueAt(at), context.report);
  });
  const isPaired = pairs.every(({ pins }) => pins.length > 0);
  return {
    ref,
    at: context.source.keyAt(path),
    ...(entry.part === undefined ? {} : { part: entry.part.trim() }),
    partAt: context.source.valueAt([...path, "part"]),
    note: (entry.note ?? "").trim(),
    pins: pairs.flatMap(({ pins }) => pins),
    strayNets: pairs.flatMap(({ strayNets }) => strayNets),
    isComplete: isWhole && isPaired,
  };
}
