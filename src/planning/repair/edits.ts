import { type Pair, type Scalar, type YAMLMap, isMap, isScalar, isSeq, parseDocument } from "yaml";
import { expandNames } from "../../circuit/index.js";
import { type PinNets, pinLines } from "./pin-lines.js";

/** One change of a circuit file's text. */
export type Edit =
  /** What the file says of the whole board, in one line: its `ambient`, `supply` or `build`. */
  | { readonly kind: "header"; readonly key: "ambient" | "supply" | "build"; readonly value: string }
  /** Another part in a chip's place. */
  | { readonly kind: "part"; readonly chip: string; readonly part: string }
  /** A pin on another net. `pins` are the names that the file may call it by. */
  | { readonly kind: "net"; readonly chip: string; readonly pin: string; readonly net: string }
  | {
      readonly kind: "chip";
      readonly chip: string;
      readonly part: string;
      readonly note: string;
      readonly pins: PinNets;
      /** Behind this chip, with what the file says at its pins, of which it takes over some: the old pin by the new one. */
      readonly beside?: { readonly chip: string; readonly was: Readonly<Record<string, string>> };
    }
  /** All pins of a chip anew, as for a part with other pins; what the file says at the old ones stays. */
  | {
      readonly kind: "pins";
      readonly chip: string;
      readonly pins: PinNets;
      readonly was: Readonly<Record<string, string>>;
    }
  | {
      readonly kind: "passive";
      readonly ref: string;
      readonly value: string;
      readonly between: readonly [string, string];
      readonly note: string;
    };

/** Characters of a text that are replaced, from one offset up to another. */
interface Splice {
  readonly from: number;
  readonly to: number;
  readonly text: string;
}

/**
 * The text with the edits made, comments and layout as they were. Undefined where the text is not laid out so that they can
 * be made: a pin inside a range with a range of nets, a chip on one line.
 */
export function applyEdits(text: string, edits: readonly Edit[]): string | undefined {
  let edited: string | undefined = text;
  // One after the other: each finds its place in what the ones before left.
  for (const edit of edits) {
    edited = edited === undefined ? undefined : applyEdit(edited, edit);
    // What was measured of a chip is not true of the one that takes its place.
    if (edited !== undefined && edit.kind === "part") edited = withoutMeasured(edited, edit.chip);
  }
  return edited;
}

function applyEdit(text: string, edit: Edit): string | undefined {
  const document = parseDocument(text, { uniqueKeys: false });
  const splice = spliceOf(text, document.contents, edit);
  return splice && text.slice(0, splice.from) + splice.text + text.slice(splice.to);
}

/** The text without what was measured of a chip; undefined where that stands on one line with something else. */
function withoutMeasured(text: string, chip: string): string | undefined {
  const root = parseDocument(text, { uniqueKeys: false }).contents;
  const list = isMap(root) ? valueAt(root, ["measured"]) : undefined;
  if (!isMap(root) || !isSeq(list)) return text;
  const isOf = (item: unknown) => isMap(item) && item.get("chip") === chip;
  const of = list.items.filter(isOf);
  if (of.length === 0) return text;
  if (list.flow) return undefined;
  // Without its last entry the section goes too.
  const pair = root.items.find(({ value }) => value === list);
  const gone = of.length === list.items.length ? [pair?.key] : of;
  const last = of.length === list.items.length ? list : undefined;
  let edited = text;
  for (const node of gone.reverse()) {
    const [from, end] = [rangeOf(node)?.[0], rangeOf(last ?? node)?.[1]];
    if (from === undefined || end === undefined) return undefined;
    const begin = edited.lastIndexOf("\n", from - 1) + 1;
    edited = edited.slice(0, begin) + edited.slice(lineEnd(edited, trimmedEnd(edited, end)) + 1);
  }
  return edited;
}

function spliceOf(text: string, root: unknown, edit: Edit): Splice | undefined {
  if (!isMap(root)) return undefined;
  switch (edit.kind) {
    case "header": {
      const value = root.get(edit.key, true);
      if (value !== undefined) return isScalar(value) ? replaceScalar(value, edit.value) : undefined;
      const at = text.length;
      return { from: at, to: at, text: `${text.endsWith("\n") ? "" : "\n"}${edit.key}: ${quoted(edit.value)}\n` };
    }
    case "part": {
      const part = valueAt(root, ["chips", edit.chip, "part"]);
      return isScalar(part) ? replaceScalar(part, edit.part) : undefined;
    }
    case "net":
      return moveNet(text, root, edit.chip, edit.pin, edit.net);
    case "chip": {
      const lines = [`  ${edit.chip}:`, `    part: ${edit.part}`, `    note: ${edit.note}`, "    pins:"];
      const old = edit.beside && valueAt(root, ["chips", edit.beside.chip, "pins"]);
      const own = isMap(old)
        ? pinLines(text, old, edit.pins, edit.beside?.was ?? {}, quoted)
        : Object.entries(edit.pins).map(([pin, net]) => `${quoted(pin)}: ${quoted(net)}`);
      return behind(text, root, "chips", [...lines, ...own.map((line) => `      ${line}`)], edit.beside?.chip);
    }
    case "pins": {
      const pins = valueAt(root, ["chips", edit.chip, "pins"]);
      const [from, end] = [rangeOf(isMap(pins) ? pins.items[0]?.key : undefined)?.[0], rangeOf(pins)?.[1]];
      if (!isMap(pins) || pins.flow || from === undefined || end === undefined) return undefined;
      // Comments before its first pin lie outside of what is written anew: they are said there already.
      const at = text.lastIndexOf("\n", from - 1) + 1;
      const indent = text.slice(at, from);
      const lines = pinLines(
        text.slice(0, at).replace(/[^\n]/g, " ") + text.slice(at),
        pins,
        edit.pins,
        edit.was,
        quoted,
      );
      const to = lineEnd(text, trimmedEnd(text, end));
      return { from: at, to, text: lines.map((line) => indent + line).join("\n") };
    }
    case "passive": {
      const [from, to] = edit.between;
      return behind(text, root, "passives", [
        `  ${edit.ref}: { value: ${edit.value}, between: [${from}, ${to}], note: ${edit.note} }`,
      ]);
    }
  }
}

/** Adds lines behind an entry of a section, the last where none is named, or the section itself at the end of the file. */
function behind(text: string, root: YAMLMap, section: string, lines: readonly string[], entry?: string): Splice {
  const map = valueAt(root, [section]);
  const entries = isMap(map) && !map.flow ? (map.items as Pair[]) : [];
  const last = entries.find(({ key }) => isScalar(key) && key.value === entry) ?? entries.at(-1);
  const end = rangeOf(last?.value ?? last?.key)?.[1];
  if (end === undefined) {
    const gap = text.endsWith("\n") ? "" : "\n";
    return { from: text.length, to: text.length, text: `${gap}${section}:\n${lines.join("\n")}\n` };
  }
  const at = lineEnd(text, trimmedEnd(text, end));
  return { from: at, to: at, text: `\n${lines.join("\n")}` };
}

/** Where the last character before an offset stands that is no space or line break. */
function trimmedEnd(text: string, end: number): number {
  let at = end;
  while (at > 0 && /\s/.test(text[at - 1] ?? "")) at--;
  return at;
}

function lineEnd(text: string, at: number): number {
  const end = text.indexOf("\n", at);
  return end < 0 ? text.length : end;
}

/** Puts one pin on another net; of a list or a range of pins it is taken out and stands on a line of its own. */
function moveNet(text: string, root: YAMLMap, chip: string, pin: string, net: string): Splice | undefined {
  const pins = valueAt(root, ["chips", chip, "pins"]);
  if (!isMap(pins)) return undefined;
  for (const { key, value } of pins.items as Pair[]) {
    if (!isScalar(key) || typeof key.value !== "string") continue;
    const names = expandNames(key.value).names.map(({ name }) => name);
    if (!names.includes(pin)) continue;
    if (names.length === 1) return isScalar(value) ? replaceScalar(value, net) : undefined;
    const [at, end] = [rangeOf(key)?.[0], rangeOf(value)?.[1]];
    if (at === undefined || end === undefined || pins.flow) return undefined;
    const indent = text.slice(text.lastIndexOf("\n", at - 1) + 1, at);
    const others = names.filter((name) => name !== pin);
    const nets = netsAt(value);
    if (!nets || (nets.length > 1 && nets.length !== names.length)) return undefined;
    // With one net for all the rest stays one line; else every pin gets its own.
    const rest =
      nets.length > 1
        ? others.map((name) => [name, nets[names.indexOf(name)] ?? ""])
        : [[others.join(", "), nets[0] ?? ""]];
    const lines = [...rest, [pin, net]].map(([name = "", to = ""]) => `${quoted(name)}: ${quoted(to)}`);
    return { from: at, to: end, text: lines.join(`\n${indent}`) };
  }
  return undefined;
}

/** The nets that a file names for a line of pins: one for all, or one for each. */
function netsAt(value: unknown): readonly string[] | undefined {
  if (isScalar(value) && typeof value.value === "string") return expandNames(value.value).names.map(({ name }) => name);
  if (!isSeq(value)) return undefined;
  const items = value.items.map((item) => (isScalar(item) && typeof item.value === "string" ? item.value : undefined));
  return items.every((item) => item !== undefined) ? items : undefined;
}

function replaceScalar(node: Scalar, value: string): Splice | undefined {
  const range = rangeOf(node);
  return range && { from: range[0], to: range[1], text: quoted(value) };
}

/** As a YAML scalar: in quotes where it would not be read as text otherwise. */
function quoted(text: string): string {
  return /^[A-Za-z0-9_][\w#'\-. /,]*$/.test(text) && !/ #|^\d+$|,$/.test(text) ? text : JSON.stringify(text);
}

function rangeOf(node: unknown): readonly [number, number] | undefined {
  const range = (node as { range?: readonly [number, number, number] } | undefined)?.range;
  return range && [range[0], range[1]];
}

function valueAt(root: YAMLMap, path: readonly string[]): unknown {
  return path.reduce<unknown>((at, key) => (isMap(at) ? at.get(key, true) : undefined), root);
}
