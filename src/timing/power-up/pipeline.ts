import type { Expression } from "../../parts/index.js";
import { type Courses, nameOf } from "./course.js";
import { NotFollowed } from "./not-followed.js";
import { namesOf } from "./fold.js";
import { type LogicSection, netNamed } from "./logic-view.js";
import type { Part } from "./parts.js";
import { eventsOf } from "./self-start.js";
import { settlingTicks } from "./settling-time.js";

/** Bits in one section that pass on what they take. */
const MOST_PIPELINE_BITS = 12;

/** A part without any way back: after a few clocks all that it holds follows from what it has read. */
export interface Pipeline {
  readonly part: Part;
  readonly bits: number;
  /** Oscillator periods until all of it is taken in; undefined where something never is. */
  readonly ticks: number | undefined;
  /** Bits that nothing ever clocks, opens or forces. */
  readonly idle: readonly string[];
}

/** Whether no bit of the part leads back to itself, nor to a clock of its own. */
export function isPipeline({ sections, leadsBack }: Part): boolean {
  const [section] = sections;
  if (leadsBack || !section || section.storage.length === 0 || section.storage.length > MOST_PIPELINE_BITS)
    return false;
  const bits = new Map(section.storage.map((bit) => [bit.name, bit]));
  const ownBits = (expression: Expression) => namesOf(expression).filter((name) => bits.has(name));
  const isControlled = section.storage.some((bit) =>
    [bit.kind === "register" ? bit.clock : bit.open, ...bit.overrides.map(({ when }) => when)].some(
      (expression) => ownBits(expression).length > 0,
    ),
  );
  if (isControlled) return false;
  const open = new Set<string>();
  const done = new Set<string>();
  const loops = (name: string): boolean => {
    if (done.has(name)) return false;
    if (open.has(name)) return true;
    open.add(name);
    const bit = bits.get(name);
    const reads = bit ? [bit.next, ...bit.overrides.map(({ value }) => value)].flatMap(ownBits) : [];
    const found = reads.some(loops);
    open.delete(name);
    done.add(name);
    return found;
  };
  return ![...bits.keys()].some(loops);
}

/** How long a part that leads nowhere back takes until nothing of its start state is left. Throws NotFollowed. */
export function pipeline(courses: Courses, part: Part): Pipeline {
  const [section] = part.sections;
  if (!section) throw new NotFollowed(`${nameOf(part)} is empty`);
  const marks = takingIn(section);
  const shadow: Part = {
    ...part,
    sections: [marks],
    parents: part.parents.flatMap(({ part: parent, nets }) => {
      const read = nets.filter((net) => marks.reads.has(net));
      return read.length > 0 ? [{ part: parent, nets: read }] : [];
    }),
    shown: [],
  };
  const { length: bits } = section.storage;
  const stateCount = 2 ** bits;
  const events = eventsOf(courses, shadow, stateCount);
  const { inputTicks } = courses.inputSpan(shadow);
  const all = stateCount - 1;
  let taken = 0;
  for (let round = 0; round <= bits; round++) for (const { map } of events) taken = map[taken] as number;
  if (taken !== all) {
    return {
      part,
      bits,
      ticks: undefined,
      idle: section.storage.flatMap(({ name }, bit) => ((taken >> bit) & 1 ? [] : [name])),
    };
  }
  const whole = new Set([all]);
  const ticks = settlingTicks(Int32Array.of(0), inputTicks, events, () => whole);
  return { part, bits, ticks: ticks ?? (bits + 1) * inputTicks, idle: [] };
}

/** The section with marks in place of levels: a bit is high once what it holds follows from what the section has read. */
function takingIn(section: LogicSection): LogicSection {
  const names = new Set(section.storage.map(({ name }) => name));
  const high: Expression = { kind: "constant", value: 1 };
  const marked = (expression: Expression) =>
    namesOf(expression)
      .filter((name) => names.has(name))
      .reduce<Expression>((all, name) => ({ kind: "and", left: all, right: { kind: "name", name } }), high);
  const storage = section.storage.map((bit) => {
    const overrides = bit.overrides.map(({ when, value }) => ({ when, value: marked(value) }));
    return { ...bit, next: marked(bit.next), overrides };
  });
  const read = storage.flatMap((bit) => [
    ...namesOf(bit.kind === "register" ? bit.clock : bit.open),
    ...bit.overrides.flatMap(({ when }) => namesOf(when)),
  ]);
  return { ...section, storage, outputs: [], reads: new Set(read.flatMap((name) => netNamed(name) ?? [])) };
}
