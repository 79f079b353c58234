import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { expandNames } from "./names.js";
import type { GrowingNet, NetTable } from "./nets.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";
import type { Inside } from "./source.js";
import type { Path } from "./value.js";

/** A name from the file, ranges written out, and where it stands. */
export interface PlacedName {
  readonly name: string;
  readonly span: Span;
}

export interface PlacedNames {
  readonly names: readonly PlacedName[];
  /** False where something was wrong with the text, so that names may be missing; that is reported. */
  readonly isWhole: boolean;
}

/** The names in the key at the end of `path`. */
export function namesInKey(path: Path, context: FileContext): PlacedNames {
  const text = String(path.at(-1) ?? "");
  return placedNames(text, context.report, context.source.insideKey(path));
}

/** The names in the text, or list of texts, at `path`. */
export function namesInValue(value: string | readonly string[], path: Path, context: FileContext): PlacedNames {
  if (typeof value === "string") {
    return placedNames(value, context.report, context.source.insideValue(path));
  }
  const lists = value.map((text, index) => namesInValue(text, [...path, index], context));
  return { names: lists.flatMap(({ names }) => names), isWhole: lists.every(({ isWhole }) => isWhole) };
}

/** The names in a text whose characters stand where `inside` says. */
export function placedNames(text: string, report: Report, inside: Inside): PlacedNames {
  if (report.isOverfull) return { names: [], isWhole: false };
  const { names, complaints } = expandNames(text);
  if (!report.countNames(names.length, inside(0, text.length))) return { names: [], isWhole: false };
  for (const { from, to, complaint } of complaints) report.add(inside(from, to), complaint);
  // Members of one range share one span.
  let last: { from: number; span: Span } | undefined;
  const placed = names.map(({ name, from, to }) => {
    if (last?.from !== from) last = { from, span: inside(from, to) };
    return { name, span: last.span };
  });
  return { names: placed, isWhole: complaints.length === 0 };
}

/** The net of a name under `section`; complains of rails and of nets that no chip has a pin on. */
export function signalNet(
  { name, span }: PlacedName,
  section: string,
  nets: NetTable,
  context: FileContext,
): GrowingNet | undefined {
  const net = nets.find(name);
  if (!net) {
    context.report.add(
      span,
      say.unknownNet(
        name,
        section,
        context.report.suggest(name, () => nets.names),
      ),
    );
  } else if (net.rail) {
    context.report.add(span, say.railAs(net.name, section));
  } else {
    return net;
  }
  return undefined;
}
