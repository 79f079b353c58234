import { type Memory, memoryControlOf, namesIn, parseExpression } from "../../parts/index.js";
import type { FileContext } from "../file-context.js";
import { type PlacedName, namesInValue } from "../net-names.js";
import { mapOf, take } from "../sections.js";
import type { Path, Value } from "../value.js";
import { OWN_LIMITS } from "./limits.js";
import * as say from "./messages.js";
import { memoryArray } from "./shape.js";

/** The pins that a function's memory can use. */
interface MemoryPins {
  readonly inputs: readonly string[];
  readonly outputs: readonly string[];
  readonly inOuts: readonly string[];
  /** False where the lists have mistakes, so that names may be missing. */
  readonly isWhole: boolean;
}

/** Reads the words that a function holds; undefined where something is wrong with them, which is reported. */
export function readMemoryArray(
  written: Value,
  { inputs, outputs, inOuts, isWhole }: MemoryPins,
  path: Path,
  expression: (text: string | undefined, path: Path) => string | undefined,
  context: FileContext,
): Memory | undefined {
  const map = mapOf(written);
  const { shape } = memoryArray;
  const isWritten = map["write"] !== undefined;
  const list = (key: "address" | "data", known: readonly string[], most: number): readonly string[] | undefined => {
    const at = [...path, key];
    const text = take(shape[key], map[key]);
    if (text === undefined) return undefined;
    const found = namesInValue(text, at, context);
    const wrong = isWhole
      ? found.names.flatMap((name, index) => wrongPin(name, key, found.names.slice(0, index), known))
      : [];
    for (const { span, complaint } of wrong) context.report.add(span, complaint);
    if (found.names.length > most) return context.complain(at, say.tooManyMemoryPins(key, found.names.length, most));
    return found.isWhole && wrong.length === 0 ? found.names.map(({ name }) => name) : undefined;
  };
  const wrongPin = (
    { name, span }: PlacedName,
    key: "address" | "data",
    before: readonly PlacedName[],
    known: readonly string[],
  ) => {
    if (before.some((other) => other.name === name)) return [{ span, complaint: say.pinOfTwoLists(name) }];
    if (known.includes(name)) return [];
    return [
      {
        span,
        complaint: say.noMemoryPin(
          name,
          key,
          known,
          context.report.suggest(name, () => known),
        ),
      },
    ];
  };
  const control = (key: "read" | "write"): string | undefined => {
    const text = expression(take(shape[key], map[key]), [...path, key]);
    const unclear = text === undefined ? [] : namesIn(parseExpression(text)).filter((pin) => !memoryControlOf(pin));
    return unclear.length === 0 ? text : context.complain([...path, key], say.unclearControl(unclear));
  };
  const address = list("address", inputs, OWN_LIMITS.addressPins);
  const data = list("data", isWritten ? inOuts : [...outputs, ...inOuts], OWN_LIMITS.dataPins);
  const [read, write] = [control("read"), isWritten ? control("write") : undefined];
  if (!address || !data || read === undefined || (isWritten && write === undefined)) return undefined;
  return {
    address,
    data,
    read: parseExpression(read),
    ...(write !== undefined && { write: parseExpression(write) }),
  };
}
