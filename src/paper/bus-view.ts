import type { Part } from "../parts/index.js";

/** What a page says of a processor: how it writes and waits, and the times of its bus. */
export interface BusView {
  /** A sentence or two each. */
  readonly about: readonly string[];
  /** The grades whose times follow: `Z84C0008 (8 MHz, 4.5 to 5.5 V)`. */
  readonly grades: readonly string[];
  readonly times: readonly BusTime[];
  /** The sheet, with the mark of what was recalled. */
  readonly source: string;
}

/** One time by the sheet's symbol, in ns for each grade; absent where its sheet has none. */
export interface BusTime {
  readonly symbol: string;
  readonly meaning: string;
  readonly ns: readonly (number | undefined)[];
}

/** Undefined for parts that are no processors. */
export function busView({ processor }: Part): BusView | undefined {
  if (!processor) return undefined;
  const { record } = processor;
  const { clock, wait, releasedBy } = record;
  const grades = processor.grade ? [processor.grade] : record.grades;
  const divided = clock.divide > 1 ? `, ${clock.divide} cycles of it to one of ${clock.pin}` : "";
  const waits = [wait.setUp, wait.hold].filter((symbol) => symbol !== undefined).join(" and ");
  return {
    about: [
      `Write strobe: ${record.strobeIs}.`,
      `Clock: fed in at ${clock.fedAt}${divided}; times count from ${clock.pin}.`,
      `Waits while ${wait.pin} is ${wait.active}${waits === "" ? "" : `, looked at with ${waits}`}.`,
      ...(releasedBy.length > 0 ? [`Lets go of the bus while ${releasedBy.join(" or ")} is low.`] : []),
      `Least cycles from one write to the next: ${record.leastCyclesBetweenWrites} (${record.writesWhen}).`,
      ...wait.notes,
      ...record.notes,
    ],
    grades: grades.map(({ name, megahertz, supply }) => `${name} (${megahertz} MHz, ${supply.join(" to ")} V)`),
    times: Object.entries(record.symbols)
      .map(([symbol, meaning]) => ({ symbol, meaning, ns: grades.map(({ times }) => times[symbol]) }))
      .filter(({ ns }) => ns.some((time) => time !== undefined)),
    source: `${record.source.publisher} ${record.source.document}${record.fromMemory ? " (from memory)" : ""}`,
  };
}
