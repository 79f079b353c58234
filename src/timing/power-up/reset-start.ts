import { type Courses, leastCommonMultiple, placeInCourse } from "./course.js";
import { NotFollowed } from "./not-followed.js";
import type { FreeGroup, FreeStart, ProvedStates } from "./free-group.js";
import { Joint, type JointScope, distinct } from "./joint.js";
import type { StateBit } from "./lane-unit.js";
import type { LogicSection, LogicView } from "./logic-view.js";
import { TooManyToFollow } from "./not-followed.js";
import { stillSignal } from "./outside-signal.js";
import { type Part, partsOf } from "./parts.js";

/** States that are put side by side before they have run under reset. */
const MOST_START_STATES = 1 << 18;
/** Steps of states under reset, all periods together. */
const MOST_HELD_STEPS = 1 << 23;
/** States between the release and the proved ones. */
const MOST_ON_THE_WAY = 1 << 16;
/** States of the proof's own run that are looked up. */
const MOST_PROVED = 1 << 20;

/** Oscillator periods within which a start from reset is to come to the proof's. */
const MOST_UNASKED = 256;

/** What comes of a start under reset. */
export interface ResetStart {
  /** Oscillator periods that the reset must be held for with the oscillator running. */
  readonly heldTicks: number;
  /** At most so many from its release until the proved states are reached; undefined where they may never be. */
  readonly ticks: number | undefined;
  /** Bits of a state, and their levels, from which they are never reached; the reset has been let go by then. */
  readonly lost: ReadonlyMap<StateBit, 0 | 1> | undefined;
  /** They are reached where all flip-flops take the release at one edge. */
  readonly isLostByRelease: boolean;
}

/** What is asked about. */
export interface ResetQuestion {
  readonly circuit: LogicView;
  /** Parts that rest on the oscillator alone, with all that they rest on; of the view with resets released. */
  readonly parts: readonly Part[];
  readonly courses: Courses;
  readonly group?: { readonly group: FreeGroup; readonly proved: ProvedStates };
}

/**
 * Follows parts from every state at power-up through a reset that is held and then let go at any moment. `circuit` is the
 * view with resets as given levels. Throws NotFollowed and TooManyToFollow.
 */
export function resetStart(question: ResetQuestion): ResetStart {
  const { parts, courses, group } = question;
  const held = heldFrom(question, group?.group);
  const isProved = provedLookUp(held.joint, parts, courses, group);
  const { joint, states } = held;
  const found = afterRelease(joint, joint.releasing(states), isProved);
  const isLostByRelease =
    found.ticks === undefined && afterRelease(joint, joint.period(states, "released"), isProved).ticks !== undefined;
  return { heldTicks: held.ticks, ...found, isLostByRelease };
}

/**
 * Whether a group may write a memory from the release of a reset on, nothing coming from outside: on the way into the course that
 * the proof takes from its start, or there. Throws NotFollowed, also where that course is not met soon.
 */
export function writesAfterReset(
  question: Pick<ResetQuestion, "circuit" | "parts">,
  { group, lastQuietWrite }: Pick<FreeStart, "group" | "lastQuietWrite">,
): boolean {
  const { joint, states } = heldFrom(question, { ...group, signals: group.signals.map(stillSignal) });
  const course = new Set<number>();
  let now: Float64Array = Float64Array.of(0);
  for (let tick = 0; tick < MOST_UNASKED; tick++) {
    if (tick > lastQuietWrite) for (const state of now) course.add(state);
    now = joint.period(now, "released");
  }
  const written = new Set(group.memories.map(({ writing }) => writing.key));
  joint.watched = question.circuit.memories.flatMap(({ writing }) =>
    written.has(writing.key) ? writing.outputs.map(({ net }) => net) : [],
  );
  let open = joint.releasing(states);
  for (let tick = 0; tick < MOST_UNASKED; tick++) {
    if (joint.hasSeenHigh) return true;
    open = open.filter((state) => !course.has(state));
    if (open.length === 0) return false;
    open = joint.period(open, "released");
  }
  throw new NotFollowed("after a reset it does not soon come to where the proof starts");
}

/** All that a reset, held for long, leaves of parts and of a group, with all that they rest on. */
function heldFrom({ circuit: view, parts }: Pick<ResetQuestion, "circuit" | "parts">, group: FreeGroup | undefined) {
  const keys = new Set(parts.flatMap(({ sections }) => sections.map(({ key }) => key)));
  const groupKeys = new Set(group?.sections.map(({ key }) => key));
  const writing = view.memories.map((memory) => memory.writing);
  const groupSections = [...view.sections, ...writing].filter(({ key }) => groupKeys.has(key));
  const isRead = new Set(groupSections.flatMap(({ reads }) => [...reads]));
  const own = restsOf(
    view,
    view.sections.filter(
      ({ key, outputs }) => keys.has(key) || (!groupKeys.has(key) && outputs.some(({ net }) => isRead.has(net))),
    ),
  );
  const stages = partsOf(view, own).map(({ sections }) => sections);
  if (groupSections.length > 0) stages.push(groupSections);
  const played = { signals: group?.signals ?? [], guessed: group?.guessed ?? [] };
  return heldStates(view, stages, played, groupSections.length > 0);
}

/** Sections and all that they rest on. Throws NotFollowed where that is more than the oscillator and resets. */
function restsOf(view: LogicView, sections: readonly LogicSection[]): readonly LogicSection[] {
  const found = new Set(sections);
  for (const section of found) {
    for (const id of section.reads) {
      const net = view.nets[id];
      if (net?.isUnknown) throw new NotFollowed(`under reset, ${section.chip.ref} follows ${net.name}`);
      for (const driver of net?.drivers ?? []) found.add(driver.section);
    }
  }
  return view.sections.filter((section) => found.has(section));
}

/** All states in which the reset, held for long enough, can leave the sections; stage by stage, so that each starts from few. */
function heldStates(
  view: LogicView,
  stages: readonly (readonly LogicSection[])[],
  played: Pick<JointScope, "signals" | "guessed">,
  lastIsPlayed: boolean,
): { readonly joint: Joint; readonly states: Float64Array; readonly ticks: number } {
  let ticks = 0;
  let steps = 0;
  let before: { readonly bits: readonly StateBit[]; readonly states: Float64Array } = {
    bits: [],
    states: Float64Array.of(0),
  };
  let joint: Joint | undefined;
  stages.forEach((_, index) => {
    const isPlayed = lastIsPlayed && index === stages.length - 1;
    const scope = isPlayed ? played : { signals: [], guessed: [] };
    const next = new Joint({ view, sections: stages.slice(0, index + 1).flat(), ...scope });
    joint = next;
    let states = withNewBits(before, next);
    for (; ; ticks++) {
      steps += states.length;
      if (steps > MOST_HELD_STEPS) throw new TooManyToFollow("too many states to follow under reset");
      const after = next.period(states, "active");
      if (after.length === states.length) break;
      states = after;
    }
    before = { bits: next.unit.bits, states };
  });
  if (!joint) throw new NotFollowed("nothing rests on the oscillator");
  return { joint, states: before.states, ticks };
}

/** Known states of some bits with every state of the others and of the signals. */
function withNewBits(
  { bits, states }: { bits: readonly StateBit[]; states: Float64Array },
  joint: Joint,
): Float64Array {
  const { unit, ways, sectionStates } = joint;
  const places = placesOf(bits, unit.bits);
  const open = unit.bits.flatMap((_, bit) => (places.includes(bit) ? [] : [bit]));
  const kept = ways.kept();
  const count = states.length * 2 ** open.length * kept.length;
  if (count > MOST_START_STATES) throw new TooManyToFollow(`${open.length} bits that a reset must bring into order`);
  const found: number[] = [];
  for (const state of states) {
    const base = spread(state, places);
    for (let choice = 0; choice < 2 ** open.length; choice++) {
      const section = base + spread(choice, open);
      for (const outside of kept) found.push(section + outside * sectionStates);
    }
  }
  return distinct(found);
}

/** For each of some bits, where it stands among others; -1 where it does not. */
function placesOf(bits: readonly StateBit[], among: readonly StateBit[]): readonly number[] {
  const keyOf = ({ section, name, net }: StateBit) => (net === undefined ? `${section.key}|${name}` : `net ${net}`);
  const places = new Map(among.map((bit, place) => [keyOf(bit), place]));
  return bits.map((bit) => places.get(keyOf(bit)) ?? -1);
}

/** The bits of a number put into other places. */
function spread(state: number, places: readonly number[]): number {
  let rest = state;
  let sum = 0;
  for (const place of places) {
    if (rest % 2 === 1 && place >= 0) sum += 2 ** place;
    rest = Math.floor(rest / 2);
  }
  return sum;
}

/** Whether the proof has been in a joint state. */
function provedLookUp(
  { unit, sectionStates }: Joint,
  parts: readonly Part[],
  courses: Courses,
  group: ResetQuestion["group"],
): (state: number) => boolean {
  const runs = parts.flatMap((part) => {
    const { bits } = courses.unit(part);
    return bits.length > 0 ? [{ course: courses.course(part), places: placesOf(bits, unit.bits) }] : [];
  });
  const span = group && courses.inputSpan(group.group.reading);
  const lead = Math.max(span?.inputLeadTicks ?? 0, ...runs.map(({ course }) => course.leadTicks));
  const cycle = runs.reduce(
    (ticks, { course }) => leastCommonMultiple(ticks, course.cycleTicks),
    span?.inputTicks ?? 1,
  );
  if (lead + cycle > MOST_PROVED) throw new TooManyToFollow(`${cycle.toLocaleString("en")} periods until all repeats`);
  const ticksOf = new Map<number, number[]>();
  for (let tick = 0; tick < lead + cycle; tick++) {
    const state = runs.reduce(
      (sum, { course, places }) => sum + spread(course.states[placeInCourse(course, tick)] ?? 0, places),
      0,
    );
    ticksOf.set(state, [...(ticksOf.get(state) ?? []), tick]);
  }
  const fixed = runs.flatMap(({ places }) => places);
  const groupPlaces = group ? placesOf(group.proved.bits, unit.bits) : [];
  return (state) => {
    const section = state % sectionStates;
    const ticks = ticksOf.get(gathered(section, fixed, fixed));
    if (!ticks || !group) return ticks !== undefined;
    const own = gathered(
      section,
      groupPlaces,
      groupPlaces.map((_, bit) => bit),
    );
    const whole = own + Math.floor(state / sectionStates) * 2 ** groupPlaces.length;
    return ticks.some((tick) => group.proved.has(tick, whole));
  };
}

/** The bits at some places of a number, put to others. */
function gathered(state: number, places: readonly number[], to: readonly number[]): number {
  return places.reduce((sum, place, index) => sum + (Math.floor(state / 2 ** place) % 2) * 2 ** (to[index] ?? 0), 0);
}

/** Follows the states that a release has led to until the proof has been there. */
function afterRelease(
  joint: Joint,
  released: Float64Array,
  isProved: (state: number) => boolean,
): Pick<ResetStart, "ticks" | "lost"> {
  const ends = new Map<number, readonly number[]>();
  let open = released.filter((state) => !isProved(state));
  while (open.length > 0) {
    const next = new Set<number>();
    for (const state of open) {
      const after = [...joint.period(Float64Array.of(state), "released")].filter((one) => !isProved(one));
      ends.set(state, after);
      for (const one of after) if (!ends.has(one)) next.add(one);
    }
    if (ends.size > MOST_ON_THE_WAY) throw new TooManyToFollow("too many states on the way from the reset");
    open = Float64Array.from([...next].filter((state) => !ends.has(state)));
  }
  const longest = longestWay(ends);
  if (longest.isEndless) {
    const state = longest.state % joint.sectionStates;
    const lost = new Map(
      joint.unit.bits.map((bit, place) => [bit, (Math.floor(state / 2 ** place) % 2) as 0 | 1] as const),
    );
    return { ticks: undefined, lost };
  }
  return { ticks: 1 + longest.length, lost: undefined };
}

/** The most steps that lead from one state to the next; endless where they lead round. */
function longestWay(
  ends: ReadonlyMap<number, readonly number[]>,
): { readonly isEndless: false; readonly length: number } | { readonly isEndless: true; readonly state: number } {
  const lengths = new Map<number, number>();
  const onWay = new Set<number>();
  let most = 0;
  for (const start of ends.keys()) {
    const stack = [start];
    while (stack.length > 0) {
      const state = stack.at(-1) as number;
      if (lengths.has(state)) {
        stack.pop();
        continue;
      }
      const after = ends.get(state) ?? [];
      if (!onWay.has(state)) {
        onWay.add(state);
        const round = after.find((one) => onWay.has(one));
        if (round !== undefined) return { isEndless: true, state: round };
        stack.push(...after.filter((one) => !lengths.has(one)));
        continue;
      }
      onWay.delete(state);
      const length = 1 + Math.max(0, ...after.map((one) => lengths.get(one) ?? 0));
      lengths.set(state, length);
      most = Math.max(most, length);
      stack.pop();
    }
  }
  return { isEndless: false, length: most };
}
