import { type Courses, nameOf } from "./course.js";
import { NotFollowed } from "./not-followed.js";
import type { Feed } from "./feed.js";
import type { LaneUnit } from "./lane-unit.js";
import type { Part } from "./parts.js";
import { type StateEvent, settlingTicks } from "./settling-time.js";
import { type StateGraph, stateGraph } from "./state-graph.js";

/** Bits of a part all of whose states are followed. */
export const MOST_PART_BITS = 20;
/** States of all different events of one part together; each is kept as a map. */
const MOST_MAPPED = 1 << 24;
/** Steps of states through one repetition of what the part reads. */
const MOST_COMPOSED = 1 << 27;
/** States of the cycle, after every event of it, that are looked up. */
const MOST_BELONGING = 1 << 20;

/** What every start state of one part comes to while all that it reads runs in its cycle. */
export interface SelfStart {
  readonly part: Part;
  /** Bits of its state. */
  readonly bits: number;
  /** From the moment at which what it reads repeats. */
  readonly graph: StateGraph;
  /** Which of the cycles the proof is about. */
  readonly provedCycle: number;
  /** At most so many oscillator periods until any state is in the proved cycle; undefined where there is another cycle. */
  readonly ticks: number | undefined;
  /** Periods after which what it reads repeats. */
  readonly inputTicks: number;
}

/** Follows every state of a part. Throws NotFollowed where they are too many. */
export function selfStart(courses: Courses, part: Part): SelfStart {
  const { length: bits } = courses.unit(part).bits;
  if (bits > MOST_PART_BITS) {
    throw new NotFollowed(`${nameOf(part)} hold ${bits} bits that hang together; up to ${MOST_PART_BITS} are followed`);
  }
  const { inputTicks, inputLeadTicks } = courses.inputSpan(part);
  const stateCount = 2 ** bits;
  const events = eventsOf(courses, part, stateCount);
  if (events.length * stateCount > MOST_COMPOSED) {
    throw new NotFollowed(`${nameOf(part)} changes too often in too many states`);
  }
  const all = Int32Array.from({ length: stateCount }, (_, state) => state);
  const next = all.slice();
  for (const { map } of events) {
    for (let state = 0; state < stateCount; state++) next[state] = map[next[state] as number] as number;
  }
  const graph = stateGraph(next);
  const common = { part, bits, graph, inputTicks };
  if (graph.cycles.length > 1) {
    const provedCycle = graph.cycleOf[courses.stateAt(part, inputLeadTicks)] ?? 0;
    return { ...common, provedCycle, ticks: undefined };
  }
  const belonging = belongingAfter(events, graph.cycles[0] ?? []);
  const ticks = belonging && settlingTicks(all, inputTicks, events, (event) => belonging[event] ?? new Set());
  return { ...common, provedCycle: 0, ticks: ticks ?? (graph.mostSteps + 1) * inputTicks };
}

/** The ticks, in one repetition of what the part reads, that change some state. */
export function eventsOf(courses: Courses, part: Part, stateCount: number): readonly StateEvent[] {
  const unit = courses.unit(part);
  const { inputTicks, inputLeadTicks } = courses.inputSpan(part);
  const maps = new Map<number, Int32Array | undefined>();
  const events: StateEvent[] = [];
  for (let tick = 0; tick < inputTicks; tick++) {
    const input = courses.input(part, inputLeadTicks + tick);
    if (!maps.has(input)) {
      if ((maps.size + 1) * stateCount > MOST_MAPPED) throw new NotFollowed(`${nameOf(part)} goes on in too many ways`);
      maps.set(input, mapOf(unit, courses.inputFeed(part, input), stateCount));
      if (unit.isUnsettled) throw new NotFollowed(`${nameOf(part)} does not come to rest`);
    }
    const map = maps.get(input);
    if (map) events.push({ tick, map });
  }
  return events;
}

/** Where a period leads from each state; undefined where it changes none. */
function mapOf(unit: LaneUnit, feed: Feed, stateCount: number): Int32Array | undefined {
  const all = Int32Array.from({ length: stateCount }, (_, state) => state);
  unit.begin(all, (net) => feed.levels.get(net) ?? 0);
  for (const half of feed.halves) unit.run(half);
  const map = new Int32Array(stateCount);
  unit.states(map);
  return map.some((after, state) => after !== state) ? map : undefined;
}

/** The states that belong to a cycle after each event; undefined where they are too many. */
function belongingAfter(
  events: readonly StateEvent[],
  cycle: readonly number[],
): readonly ReadonlySet<number>[] | undefined {
  if (events.length * cycle.length > MOST_BELONGING) return undefined;
  let states = cycle;
  return events.map(({ map }) => {
    states = states.map((state) => map[state] as number);
    return new Set(states);
  });
}
