import type { Expression } from "../../parts/index.js";
import type { Courses } from "./course.js";
import { namesOf } from "./fold.js";
import { type LogicNetId, type LogicOutput, type LogicSection, netNamed } from "./logic-view.js";
import type { Part } from "./parts.js";
import { eventsOf } from "./self-start.js";
import { settlingTicks } from "./settling-time.js";
import { takenInOf } from "./taken-in.js";

/**
 * A section with marks in place of levels: a bit, or a net that is inside, is high once what it holds follows from what has
 * been read from elsewhere. Clocks, enables of latches and asynchronous inputs keep their levels, and nets whose course is
 * known choose by theirs what is read.
 */
export function takingIn(
  section: LogicSection,
  isInside: (net: LogicNetId) => boolean,
  isKnown: (net: LogicNetId) => boolean = () => false,
): LogicSection {
  const sourceOf = (name: string) => {
    const net = netNamed(name);
    if (net === undefined || isInside(net)) return "mark";
    return isKnown(net) ? "level" : "elsewhere";
  };
  const marked = (expression: Expression) => takenInOf(expression, sourceOf);
  const storage = section.storage.map((bit) => {
    const overrides = bit.overrides.map(({ when, value }) => ({ when, value: marked(value) }));
    return { ...bit, next: marked(bit.next), overrides };
  });
  const outputs: LogicOutput[] = [];
  const reads = new Set<LogicNetId>();
  const made: LogicSection = { ...section, storage, outputs, reads };
  for (const output of section.outputs) {
    if (isInside(output.net)) outputs.push({ ...output, section: made, value: marked(output.value) });
  }
  const all = [
    ...storage.flatMap((bit) => [
      bit.kind === "register" ? bit.clock : bit.open,
      bit.next,
      ...bit.overrides.flatMap(({ when, value }) => [when, value]),
    ]),
    ...outputs.map(({ value }) => value),
  ];
  for (const name of all.flatMap(namesOf)) {
    const net = netNamed(name);
    if (net !== undefined) reads.add(net);
  }
  return made;
}

/** How long marks take to reach all bits of a part; the bits that they never reach where there are such. */
export function takenInAfter(
  courses: Courses,
  marks: Part,
  bits: number,
): { readonly ticks: number | undefined; readonly open: readonly number[] } {
  const all = 2 ** bits - 1;
  const events = eventsOf(courses, marks, all + 1);
  const { inputTicks } = courses.inputSpan(marks);
  let taken = 0;
  for (let round = 0; round <= bits; round++) for (const { map } of events) taken = map[taken] as number;
  if (taken !== all) {
    const open = Array.from({ length: bits }, (_, bit) => bit).filter((bit) => ((taken >> bit) & 1) === 0);
    return { ticks: undefined, open };
  }
  const whole = new Set([all]);
  return {
    ticks: settlingTicks(Int32Array.of(0), inputTicks, events, () => whole) ?? (bits + 1) * inputTicks,
    open: [],
  };
}
