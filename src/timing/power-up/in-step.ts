import type { Circuit } from "../../circuit/index.js";
import { sectionsOf } from "../sections.js";
import { greatestCommonDivisor, leastCommonMultiple } from "./course.js";
import type { LogicNetId, LogicView } from "./logic-view.js";
import { type Part, withAncestors } from "./parts.js";
import type { SelfStart } from "./self-start.js";

/** Two parts that run in cycles of their own, so that one may stand anywhere against the other, and something reads both. */
export interface OutOfStep {
  readonly parts: readonly [Part, Part];
  /** In so many ways they can stand against each other. */
  readonly ways: number;
}

/** Every pair of parts that nothing brings into step. */
export function outOfStep(circuit: Circuit, view: LogicView, starts: readonly SelfStart[]): readonly OutOfStep[] {
  const startOf = new Map(starts.map((start) => [start.part, start]));
  const readers = starts.map(({ part }) => readersOf(circuit, view, part));
  const found: OutOfStep[] = [];
  starts.forEach(({ part: second }, at) => {
    const rests = withAncestors([second]);
    starts.slice(0, at).forEach(({ part: first }, before) => {
      if (rests.includes(first) || !isShared(readers[at], readers[before])) return;
      const both = withAncestors([first, second]);
      // A pair further up that is out of step is found by itself.
      if (found.some(({ parts }) => parts.every((part) => both.includes(part)))) return;
      const ways = waysToStand(both.flatMap((part) => startOf.get(part) ?? []));
      if (ways > 1) found.push({ parts: [first, second], ways });
    });
  });
  return found;
}

/** In how many ways parts, each after what it rests on and each in its cycle, can stand against one another. */
function waysToStand(starts: readonly SelfStart[]): number {
  let ticks = 1;
  let ways = 1;
  for (const { inputTicks, graph, provedCycle } of starts) {
    const own = inputTicks * (graph.cycles[provedCycle]?.length ?? 1);
    ticks = leastCommonMultiple(ticks, inputTicks);
    ways *= greatestCommonDivisor(ticks, own) / inputTicks;
    ticks = leastCommonMultiple(ticks, own);
  }
  return ways;
}

type Reader = object | string;

/** Everything to which a way leads from a part: sections, memories, the monitor. */
function readersOf(circuit: Circuit, view: LogicView, part: Part): ReadonlySet<Reader> {
  const found = new Set<Reader>();
  const nets = new Set<LogicNetId>();
  const open = part.sections.flatMap(({ outputs }) => outputs.map(({ net }) => net));
  const seen = new Set(pictureNets(circuit));
  for (let id = open.pop(); id !== undefined; id = open.pop()) {
    if (nets.has(id)) continue;
    nets.add(id);
    if (seen.has(id)) found.add("monitor");
    for (const { chip, pin } of circuit.nets[id]?.receivers ?? []) {
      if (!chip.part.behaviour.memory) continue;
      // Each port of a memory is judged by itself.
      const port = sectionsOf(chip.part.behaviour).findIndex(({ pins }) => pins.some(({ name }) => name === pin));
      found.add(`${chip.ref} ${port}`);
    }
    for (const section of view.nets[id]?.readers ?? []) {
      found.add(section);
      open.push(...section.outputs.map(({ net }) => net));
    }
  }
  return found;
}

function isShared(a: ReadonlySet<Reader> = new Set(), b: ReadonlySet<Reader> = new Set()): boolean {
  return [...a].some((reader) => b.has(reader));
}

/** The nets that the monitor sees. */
export function pictureNets({ picture }: Circuit): readonly LogicNetId[] {
  if (!picture) return [];
  const { video } = picture;
  const nets = video.kind === "mono" ? [video.net] : [...video.red, ...video.green, ...video.blue];
  return [picture.hsync, picture.vsync, ...nets];
}
