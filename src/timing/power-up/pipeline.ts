import type { Expression } from "../../parts/index.js";
import { type Courses, nameOf } from "./course.js";
import { NotFollowed } from "./not-followed.js";
import { namesOf } from "./fold.js";
import type { Part } from "./parts.js";
import { takenInAfter, takingIn } from "./taking-in.js";

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
  const marks = takingIn(section, () => false);
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
  const { ticks, open } = takenInAfter(courses, shadow, bits);
  return { part, bits, ticks, idle: open.flatMap((bit) => section.storage[bit]?.name ?? []) };
}
