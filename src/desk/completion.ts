import type { Completion, CompletionContext, CompletionResult } from "@codemirror/autocomplete";
import type { Names } from "./protocol.js";

/** What may stand where the cursor is: part numbers, the pins of the chip, or nets. */
export function completeFrom(names: () => Names | undefined) {
  return (context: CompletionContext): CompletionResult | null => {
    const known = names();
    if (!known) return null;
    const word = context.matchBefore(/[\w#.-]*/);
    if (!word || (word.from === word.to && !context.explicit)) return null;
    const line = context.state.doc.lineAt(context.pos);
    const before = line.text.slice(0, word.from - line.from);
    if (/\bpart:\s*$/.test(before)) return result(word.from, known.parts, "part");
    const chip = chipAbove(context, line.number, known);
    const isValue = /:\s*\[?[^:{}]*$/.test(before) && !/[{,]\s*$/.test(before);
    if (isValue) return result(word.from, [...known.nets, "high", "low", "open"], "net");
    return chip ? result(word.from, known.pins[chip] ?? [], `pin of ${chip}`) : null;
  };
}

/** The chip in whose part of the file a line stands: the nearest line above that begins with its name. */
function chipAbove({ state }: CompletionContext, from: number, { pins }: Names): string | undefined {
  for (let number = from; number > 0; number -= 1) {
    const [, ref] = /^ {1,4}([A-Za-z]\w*):/.exec(state.doc.line(number).text) ?? [];
    if (ref !== undefined && ref in pins) return ref;
  }
  return undefined;
}

function result(from: number, labels: readonly string[], detail: string): CompletionResult {
  const options = [...new Set(labels)].map((label): Completion => ({ label, detail, type: "text" }));
  return { from, options, validFor: /^[\w#.-]*$/ };
}
