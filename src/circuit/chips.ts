import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { namesInKey, namesInValue } from "./net-names.js";
import type { Loose, Sections } from "./sections.js";
import type { ChipEntry } from "./shape.js";
import type { Path } from "./source.js";
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
    const paired = pairPins(pinsPath, value, context);
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

/** Pairs the pins of a key with the nets of its value: one net for all, or one each. */
function pairPins(path: Path, value: string | readonly string[], context: FileContext): WrittenPin[] | undefined {
  const pins = namesInKey(path, context);
  const nets = namesInValue(value, path, context);
  const [only] = nets;
  if (pins.length === 0 || !only) return undefined;
  if (nets.length !== 1 && nets.length !== pins.length) {
    return void context.complain(path, say.widthMismatch(pins.length, nets.length));
  }
  return pins.map(({ name, span }, index) => {
    const net = nets[index] ?? only;
    return {
      pin: name,
      at: span,
      net: nets.length === 1 ? only.name : net.name,
      netAt: nets.length === 1 ? only.span : net.span,
    };
  });
}
