import {
  type Change,
  type Edge,
  type MeasuredDelay,
  arcsOf,
  isMissing,
  sourceLine,
  withMeasured,
} from "../parts/index.js";
import { type Fs, type Range, parseTimeRange } from "../quantity/index.js";
import type { FileContext } from "./file-context.js";
import { quantity } from "./header.js";
import * as say from "./measured-messages.js";
import { unknownPin } from "./messages.js";
import type { GrowingChip } from "./nets.js";
import type { Loose, Sections } from "./sections.js";
import type { MeasuredEntry } from "./shape.js";
import type { Path } from "./value.js";
import { findPin } from "./wiring.js";

/** A pin and its edge, as a measurement names them. */
interface PinEdge {
  readonly pin: string;
  readonly edge: Edge | undefined;
}

/** What the file says of an arc so far, and where. */
interface Stated {
  readonly delay: MeasuredDelay;
  readonly path: Path;
}

/** What one entry says, before it is held against the sheet. */
interface Measurement {
  readonly path: Path;
  readonly chip: GrowingChip;
  readonly arc: Pick<MeasuredDelay, "from" | "edge" | "to" | "change">;
  readonly time: Range<Fs>;
  readonly note: string;
}

/**
 * Narrows the limits of the arcs that the builder measured, each on its own chip. Complains of an arc that the chip does not
 * have, and of a measurement that has nothing in common with the sheet or with another one.
 */
export function readMeasured(sections: Sections, chips: readonly GrowingChip[], context: FileContext): void {
  const byChip = new Map<GrowingChip, Map<string, Stated>>();
  sections.measured.forEach((entry, index) => {
    const found = readEntry(entry, ["measured", index], chips, context);
    if (!found) return;
    const { chip, arc, path } = found;
    const own = byChip.get(chip) ?? new Map<string, Stated>();
    byChip.set(chip, own);
    const key = Object.values(arc).join(" ");
    const delay = heldAgainst(found, own.get(key), context);
    if (delay) own.set(key, { delay, path });
  });
  for (const [chip, own] of byChip) {
    const delays = [...own.values()].map(({ delay }) => delay);
    chip.measured = delays;
    chip.part = { ...chip.part, figures: withMeasured(chip.part.figures, delays) };
  }
}

function readEntry(
  { chip: ref, from, to, delay, note = "" }: Loose<MeasuredEntry>,
  path: Path,
  chips: readonly GrowingChip[],
  context: FileContext,
): Measurement | undefined {
  const time = delay === undefined ? undefined : quantity(context, [...path, "delay"], delay, parseTimeRange);
  if (time && (time.min < 0 || time.max === 0))
    return context.complain([...path, "delay"], say.measuredBelowZero(delay ?? ""));
  if (time && time.min === time.max) return context.complain([...path, "delay"], say.noUncertainty(delay ?? ""));
  if (ref === undefined || from === undefined || to === undefined) return undefined;
  const chip = chips.find((one) => one.ref === ref);
  if (!chip) {
    const suggestion = context.report.suggest(ref, () => chips.map((one) => one.ref));
    return context.complain([...path, "chip"], say.unknownMeasuredChip(ref, suggestion));
  }
  const [start, end] = [pinEdge(from, chip, [...path, "from"], context), pinEdge(to, chip, [...path, "to"], context)];
  if (!start || !end) return undefined;
  if (end.edge === undefined) return context.complain([...path, "to"], say.noEdge(to));
  const arc = arcBetween(chip, start, end.pin, end.edge, path, context);
  return arc && time && { path, chip, arc, time, note: note.trim() };
}

function pinEdge(text: string, chip: GrowingChip, path: Path, context: FileContext): PinEdge | undefined {
  const [, written = text.trim(), edge] = /^\s*(\S+)\s+(rise|fall)\s*$/.exec(text) ?? [];
  const pin = findPin(written, chip.part);
  if (pin) return { pin: pin.name, edge: edge === "rise" || edge === "fall" ? edge : undefined };
  const pins = chip.part.behaviour.pins.filter(({ role }) => role !== "unconnected").map(({ name }) => name);
  const suggestion = context.report.suggest(written, () => pins);
  return context.complain(path, unknownPin(written, chip.part.number, pins, suggestion));
}

/** The arc that is meant; where either edge of the input can make the output change so, the file must say which. */
function arcBetween(
  { ref, part }: GrowingChip,
  { pin: from, edge: given }: PinEdge,
  to: string,
  change: Edge & Change,
  path: Path,
  context: FileContext,
): Measurement["arc"] | undefined {
  const arcs = arcsOf(part.behaviour).filter((arc) => arc.from === from);
  const moves = arcs.filter((arc) => arc.to === to).flatMap((arc) => arc.moves);
  const edges = [...new Set(moves.filter((move) => move.change === change).map(({ edge }) => edge))];
  if (given === undefined && edges.length > 1)
    return context.complain([...path, "from"], say.eitherEdge(ref, from, to, change));
  const edge = given ?? edges[0];
  if (edge === undefined || !edges.includes(edge)) {
    const outputs = [...new Set(arcs.map((arc) => arc.to))];
    return context.complain([...path, "to"], say.noSuchArc(ref, part.number, from, given, to, change, outputs));
  }
  return { from, edge, to, change };
}

/** The measurement where it can be true beside the sheet and beside what the file said of the same arc before. */
function heldAgainst(
  { path, chip, arc, time, note }: Measurement,
  before: Stated | undefined,
  context: FileContext,
): MeasuredDelay | undefined {
  const at = [...path, "delay"];
  const sheet = chip.part.figures.delay(arc.from, arc.edge, arc.to, arc.change);
  if (isMissing(sheet)) return context.complain(at, say.nothingToNarrow(sheet.missing));
  const what = `${chip.ref} ${arc.from} ${arc.edge} to ${arc.to} ${arc.change}`;
  if (time.min > sheet.max) {
    return context.complain(at, say.measuredAgainst(what, time, `at most`, sheet.max, sourceLine(sheet.source)));
  }
  if (time.max < sheet.min) {
    const source =
      sheet.minimumIs === "assumed" ? say.ASSUMED_MINIMUM : sourceLine(sheet.minimumSource ?? sheet.source);
    return context.complain(at, say.measuredAgainst(what, time, `at least`, sheet.min, source));
  }
  const both = {
    min: Math.max(time.min, before?.delay.min ?? 0) as Fs,
    max: Math.min(time.max, before?.delay.max ?? Infinity) as Fs,
  };
  if (before && both.min > both.max) {
    const line = context.report.place(context.source.valueAt([...before.path, "delay"])).line;
    return context.complain(at, say.measuredTwice(what, time, before.delay, line));
  }
  const document = `on ${chip.ref}: ${say.timeRange(both)}${note === "" ? "" : ` (${note})`}`;
  return { ...arc, ...both, source: { publisher: "measured", document, fromMemory: false, measured: true } };
}
