import { type Pair, type YAMLMap, isScalar } from "yaml";
import { expandNames } from "../../circuit/index.js";

/** What a file says in comments at one line of a chip's pins. */
interface Remarks {
  /** Lines of their own right before it. */
  readonly before: readonly string[];
  /** Behind it on its line, from the `#` on; may be empty. */
  readonly behind: string;
}

/** Names of pins, one or several with commas between, and the net that they are on. */
export type PinNets = Readonly<Record<string, string>>;

/**
 * Lines of a file for the pins of a chip, each with the comments at the pin that it was before. `was` gives the old pin by the
 * new key; a comment comes once.
 */
export function pinLines(
  text: string,
  old: YAMLMap,
  pins: PinNets,
  was: Readonly<Record<string, string>>,
  scalar: (text: string) => string,
): readonly string[] {
  const remarks = remarksOf(text, old);
  const said = new Set<Remarks>();
  return Object.entries(pins).flatMap(([key, net]) => {
    const own = remarks.get(was[key] ?? "");
    const line = `${scalar(key)}: ${scalar(net)}`;
    if (!own || said.has(own)) return [line];
    said.add(own);
    return [...own.before, own.behind === "" ? line : `${line} ${own.behind}`];
  });
}

function remarksOf(text: string, pins: YAMLMap): ReadonlyMap<string, Remarks> {
  const found = new Map<string, Remarks>();
  for (const { key, value } of pins.items as Pair[]) {
    if (!isScalar(key) || typeof key.value !== "string" || !key.range) continue;
    const end = isScalar(value) && value.range ? value.range[1] : key.range[1];
    const [, behind = ""] = /^\s*(#.*)?/.exec(text.slice(end).split("\n")[0] ?? "") ?? [];
    const remarks = { before: linesBefore(text, key.range[0]), behind };
    for (const { name } of expandNames(key.value).names) found.set(name, remarks);
  }
  return found;
}

/** The lines of comment right above the line that holds an offset, without their indent. */
function linesBefore(text: string, at: number): readonly string[] {
  const above = text.slice(0, at).split("\n").slice(0, -1).reverse();
  const first = above.findIndex((line) => !/^\s*#/.test(line));
  return above
    .slice(0, Math.max(0, first))
    .map((line) => line.trim())
    .reverse();
}
