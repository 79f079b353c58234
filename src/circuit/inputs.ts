import type { Edge } from "../parts/index.js";
import { fs, parseTime, range } from "../quantity/index.js";
import type { ExternalInput, InputTiming, Supply } from "./circuit.js";
import type { FileContext } from "./file-context.js";
import { leastTime, quantity } from "./header.js";
import * as say from "./messages.js";
import { type PlacedName, namesInKey, signalNet } from "./net-names.js";
import type { GrowingNet, NetTable } from "./nets.js";
import { readLevels } from "./outside-levels.js";
import type { Sections } from "./sections.js";
import type { InputEntry } from "./shape.js";
import type { Path } from "./value.js";

/** Puts the external inputs on their nets, with their timing. */
export function readInputs(
  sections: Sections,
  nets: NetTable,
  supplies: readonly [Supply, ...Supply[]],
  context: FileContext,
): readonly ExternalInput[] {
  const referred = new Set(sections.inputs.flatMap(([, entry]) => (entry && edgeIn(entry)?.name) ?? []));
  const places = new Map<GrowingNet, Path>();
  // All nets come before all timing: an input may refer to one that is named further down.
  const listed = sections.inputs.map(([key, entry]) => {
    const path = ["inputs", key];
    const named = namesInKey(path, context).names.flatMap((placed) => inputNet(placed, referred, nets, context) ?? []);
    for (const net of named) {
      if (places.has(net)) context.complainOfKey(path, say.netTwice(net.name, "inputs"));
      places.set(net, path);
    }
    return { path, entry, named };
  });
  const references = new Map<GrowingNet, GrowingNet>();
  const inputs: ExternalInput[] = [];
  for (const { path, entry, named } of listed) {
    const timing = entry && readTiming(entry, path, nets, context);
    const levels = entry?.levels === undefined ? undefined : readLevels(entry.levels, path, supplies, context);
    for (const net of named) {
      if (!timing) {
        nets.doubtful.add(net.name);
        continue;
      }
      net.input = { net: net.id, timing, ...(levels && { levels }) };
      inputs.push(net.input);
      const reference = "net" in timing ? nets.all[timing.net] : undefined;
      if (reference) references.set(net, reference);
    }
  }
  complainOfCircles(references, places, context);
  return inputs;
}

/** The net of an input. One that only the timing of another input refers to has no pins, but is a net all the same. */
function inputNet(
  placed: PlacedName,
  referred: ReadonlySet<string>,
  nets: NetTable,
  context: FileContext,
): GrowingNet | undefined {
  if (!nets.find(placed.name) && referred.has(placed.name)) return nets.wire(placed.name, placed.span);
  return signalNet(placed, "inputs", nets, context);
}

function readTiming(entry: InputEntry, path: Path, nets: NetTable, context: FileContext): InputTiming | undefined {
  if ("any time" in entry) {
    const { high, low, repeat } = entry["any time"];
    const time = (key: string, text: string) => leastTime(context, [...path, "any time", key], text);
    const [leastHigh, leastLow, leastRepeat] = [time("high", high), time("low", low), time("repeat", repeat)];
    if (leastHigh === undefined || leastLow === undefined || leastRepeat === undefined) return undefined;
    if (leastRepeat < leastHigh + leastLow) {
      const complaint = say.repeatTooShort(path, leastHigh, leastLow, leastRepeat);
      return context.complain([...path, "any time", "repeat"], complaint);
    }
    return { kind: "any time", leastHigh, leastLow, leastRepeat };
  }
  if ("power-up only" in entry) {
    const least = leastTime(context, [...path, "at least"], entry["at least"]);
    return least === undefined ? undefined : { kind: "power-up only", active: entry["power-up only"], least };
  }
  const time = (key: string, text: string) => quantity(context, [...path, key], text, parseTime);
  if ("steady around" in entry) {
    const at = readEdge(entry, [...path, "steady around"], nets, context);
    const [before, after] = [time("before", entry.before), time("after", entry.after)];
    if (!at || before === undefined || after === undefined) return undefined;
    if (before + after < 0) {
      const begin = fs(0 - before);
      return context.complain([...path, "after"], say.windowReversed(path, begin, after));
    }
    return { kind: "steady around", ...at, before, after };
  }
  const at = readEdge(entry, [...path, "after"], nets, context);
  const [from, to] = [time("from", entry.from), time("to", entry.to)];
  if (!at || from === undefined || to === undefined) return undefined;
  if (from > to) return context.complain([...path, "to"], say.windowReversed(path, from, to));
  return { kind: "after", ...at, delay: range(from, to) };
}

function readEdge(entry: InputEntry, path: Path, nets: NetTable, context: FileContext) {
  const written = edgeIn(entry);
  if (!written?.edge) return context.complain(path, say.badEdge(written?.text ?? ""));
  const span = context.source.insideValue(path)(0, written.name.length);
  const net = signalNet({ name: written.name, span }, "inputs", nets, context);
  return net && { net: net.id, edge: written.edge };
}

/** The net and edge that an input's timing refers to, as written: `WR# rise`, `VA[3] fall`. */
function edgeIn(entry: InputEntry): { text: string; name: string; edge: Edge | undefined } | undefined {
  const text = "steady around" in entry ? entry["steady around"] : "from" in entry ? entry.after : undefined;
  if (text === undefined) return undefined;
  const [, written = "", edge] = /^\s*(\S+)\s+(rise|fall)\s*$/.exec(text) ?? [];
  const name = written.replace(/\[(\d+)\]/, "$1");
  return { text, name, edge: edge === "rise" || edge === "fall" ? edge : undefined };
}

function complainOfCircles(
  references: ReadonlyMap<GrowingNet, GrowingNet>,
  places: ReadonlyMap<GrowingNet, Path>,
  context: FileContext,
): void {
  const done = new Set<GrowingNet>();
  for (const start of references.keys()) {
    const way: GrowingNet[] = [];
    let at: GrowingNet | undefined = start;
    while (at && !done.has(at)) {
      done.add(at);
      way.push(at);
      at = references.get(at);
    }
    const begin = at ? way.indexOf(at) : -1;
    if (begin < 0) continue;
    const circle = way.slice(begin).map(({ name }) => name);
    const path = places.get(way[begin] ?? start) ?? ["inputs"];
    context.complainOfKey(path, say.cyclicInputs(circle));
  }
}
