import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { expandNames } from "./names.js";
import type { GrowingNet, NetTable } from "./nets.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";
import type { Path } from "./source.js";

/** A name from the file, ranges written out, and where it stands. */
export interface PlacedName {
  readonly name: string;
  readonly span: Span;
}

/** The names in the key at the end of `path`; what is wrong with them is reported. */
export function namesInKey(path: Path, context: FileContext): readonly PlacedName[] {
  const text = String(path.at(-1) ?? "");
  return placedNames(text, context.report, (from, to) => context.source.insideKey(path, from, to));
}

/** The names in the text, or list of texts, at `path`; what is wrong with them is reported. */
export function namesInValue(
  value: string | readonly string[],
  path: Path,
  context: FileContext,
): readonly PlacedName[] {
  if (typeof value !== "string") return value.flatMap((text, index) => namesInValue(text, [...path, index], context));
  return placedNames(value, context.report, (from, to) => context.source.insideValue(path, from, to));
}

/** The names in a text whose characters stand where `inside` says; what is wrong with them is reported. */
export function placedNames(
  text: string,
  report: Report,
  inside: (from: number, to: number) => Span,
): readonly PlacedName[] {
  const { names, complaints } = expandNames(text);
  for (const { from, to, complaint } of complaints) report.add(inside(from, to), complaint);
  // Members of one range share one span.
  let last: { from: number; span: Span } | undefined;
  return names.map(({ name, from, to }) => {
    if (last?.from !== from) last = { from, span: inside(from, to) };
    return { name, span: last.span };
  });
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
    context.report.add(span, say.unknownNet(name, section, context.report.suggest(name, nets.names)));
  } else if (net.rail) {
    context.report.add(span, say.railAs(net.name, section));
  } else {
    return net;
  }
  return undefined;
}
