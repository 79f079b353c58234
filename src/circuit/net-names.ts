import type { FileContext } from "./file-context.js";
import * as say from "./messages.js";
import { expandNames } from "./names.js";
import type { GrowingNet, NetTable } from "./nets.js";
import type { Span } from "./problem.js";
import type { Path } from "./source.js";

/** A name from the file, ranges written out, and where it stands. */
export interface PlacedName {
  readonly name: string;
  readonly span: Span;
}

/** The names in the key at the end of `path`; what is wrong with them is reported. */
export function namesInKey(path: Path, context: FileContext): readonly PlacedName[] {
  const text = String(path.at(-1) ?? "");
  return placed(text, context, (from, to) => context.source.insideKey(path, from, to));
}

/** The names in the text, or list of texts, at `path`; what is wrong with them is reported. */
export function namesInValue(
  value: string | readonly string[],
  path: Path,
  context: FileContext,
): readonly PlacedName[] {
  if (typeof value !== "string") return value.flatMap((text, index) => namesInValue(text, [...path, index], context));
  return placed(value, context, (from, to) => context.source.insideValue(path, from, to));
}

function placed(text: string, context: FileContext, inside: (from: number, to: number) => Span): readonly PlacedName[] {
  const { names, complaints } = expandNames(text);
  for (const { from, to, complaint } of complaints) context.report.add(inside(from, to), complaint);
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

/** The one net that the text at `path` names. */
export function oneSignalNet(
  text: string,
  path: Path,
  section: string,
  nets: NetTable,
  context: FileContext,
): GrowingNet | undefined {
  const [first, second] = namesInValue(text, path, context);
  if (second) context.complain(path, say.severalNets(text));
  return first && !second ? signalNet(first, section, nets, context) : undefined;
}
