import type { Courses } from "./course.js";
import { namesOf } from "./fold.js";
import type { FreeGroup } from "./free-group.js";
import { type LogicNetId, type LogicSection, netNamed } from "./logic-view.js";
import { NotFollowed } from "./not-followed.js";
import type { Part } from "./parts.js";
import { takenInAfter, takingIn } from "./taking-in.js";

/** Bits of a group whose marks are followed. */
const MOST_FLUSHED_BITS = 16;

/**
 * How long a group that follows too much from outside takes until nothing of its start state is left, whatever comes: what
 * it then holds follows from what has come since, as it does in the proof. Flip-flops that something outside clocks, clears
 * or opens count as come from outside. Throws NotFollowed where something stays.
 */
export function flushTicks(courses: Courses, group: FreeGroup): number {
  const { parents, readsOscillator } = group.reading;
  const clocks = new Set(parents.flatMap(({ nets }) => nets));
  const isOwnTime = (net: LogicNetId) => clocks.has(net) || (readsOscillator && courses.isOscillator(net));
  const core = group.sections.filter((section) => controls(section).every(isOwnTime));
  const inside = new Set(core.flatMap(({ outputs }) => outputs.map(({ net }) => net)));
  if (core.some(({ outputs }) => outputs.some(({ enable }) => enable))) {
    throw new NotFollowed("three-state outputs that follow signals from outside");
  }
  const marks = core.map((section) => takingIn(section, (net) => inside.has(net), isOwnTime));
  const bits = core.reduce((sum, { storage }) => sum + storage.length, 0);
  if (bits > MOST_FLUSHED_BITS) throw new NotFollowed(`${bits} bits that follow signals from outside`);
  if (bits === 0) return 0;
  const read = new Set(marks.flatMap(({ reads }) => [...reads]));
  const part: Part = {
    ...group.reading,
    sections: marks,
    parents: parents.flatMap(({ part: parent, nets }) => {
      const own = nets.filter((net) => read.has(net));
      return own.length > 0 ? [{ part: parent, nets: own }] : [];
    }),
  };
  if (courses.unit(part).bits.length !== bits) throw new NotFollowed("gates that hold one another");
  const { ticks } = takenInAfter(courses, part, bits);
  if (ticks === undefined) throw new NotFollowed("control that follows signals from outside and keeps what it held");
  return ticks;
}

/** The nets that clock, open or force the storage of a section. */
function controls({ storage }: LogicSection): readonly LogicNetId[] {
  return storage.flatMap((bit) =>
    [bit.kind === "register" ? bit.clock : bit.open, ...bit.overrides.map(({ when }) => when)]
      .flatMap(namesOf)
      .flatMap((name) => netNamed(name) ?? []),
  );
}
