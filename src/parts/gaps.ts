import { arcsOf } from "./arcs.js";
import type { Behaviour, Pin } from "./behaviour.js";
import { type Delay, type Figures, type MemorySymbol, type Missing, type Requirement, isMissing } from "./figures.js";
import { namesIn } from "./expression.js";
import { memoryControlOf } from "./memory-figures.js";
import { requirementsOf } from "./requirements.js";

/** One delay or requirement that a behaviour declares, and the figure for it. */
export interface Asked {
  readonly what: "delay" | "set-up" | "hold" | "width" | "recovery" | "clock period" | "time";
  /** Input pin of a delay, the pin that something is required of, or a memory's symbol. */
  readonly pin: string;
  /** Output pin of a delay; clock, enable or strobe of a requirement; may be empty. */
  readonly other: string;
  /** `rise` or `high-to-z` of a delay, `low` of a width; may be empty. */
  readonly detail: string;
  readonly figure: Delay | Requirement | Missing;
}

const READING = ["tRC", "tAA", "tACE", "tOE", "tOH", "tLZCE", "tHZCE", "tLZOE", "tHZOE"] as const;
const WRITING = ["tWC", "tAW", "tCW", "tAS", "tWP", "tDW", "tDH", "tWR", "tOW", "tWHZ"] as const;

const OF_OUTPUT_ENABLE: readonly MemorySymbol[] = ["tOE", "tLZOE", "tHZOE"];

/** The times of a memory: those of reading, of an output enable if it has one, and those of writing where it can be written. */
export function timesOf({ memory }: Behaviour): readonly MemorySymbol[] {
  if (memory === undefined) return [];
  const hasEnable = namesIn(memory.read).some((pin) => memoryControlOf(pin) === "output enable");
  const reading = hasEnable ? READING : READING.filter((symbol) => !OF_OUTPUT_ENABLE.includes(symbol));
  return [...reading, ...(memory.write ? WRITING : [])];
}

/** Every delay and requirement that a behaviour declares; of a memory, its times. */
export function askedOf(behaviour: Behaviour, figures: Figures): readonly Asked[] {
  if (behaviour.memory) {
    const time = (symbol: MemorySymbol): Asked => ({
      what: "time",
      pin: symbol,
      other: "",
      detail: "",
      figure: figures.memory(symbol),
    });
    return timesOf(behaviour).map(time);
  }
  const { windows, widths, recoveries, clocks } = requirementsOf(behaviour);
  const delays = arcsOf(behaviour).flatMap(({ from, to, moves }) =>
    moves.map(({ edge, change }): Asked => ({
      what: "delay",
      pin: from,
      other: to,
      detail: change,
      figure: figures.delay(from, edge, to, change),
    })),
  );
  const window = (what: "set-up" | "hold", pin: string, other: string): Asked => ({
    what,
    pin,
    other,
    detail: "",
    figure: figures.window(what, pin, other),
  });
  const all: readonly Asked[] = [
    ...delays,
    ...windows.map(({ pin, reference }) => window("set-up", pin, reference)),
    ...windows.filter(({ hold }) => hold).map(({ pin, reference }) => window("hold", pin, reference)),
    ...widths.map(({ pin, level }): Asked => ({
      what: "width",
      pin,
      other: "",
      detail: level,
      figure: figures.width(pin, level),
    })),
    ...recoveries.map(({ pin, reference }): Asked => ({
      what: "recovery",
      pin,
      other: reference,
      detail: "",
      figure: figures.recovery(pin, reference),
    })),
    ...clocks.map(({ pin }): Asked => ({
      what: "clock period",
      pin,
      other: "",
      detail: "",
      figure: figures.period(pin),
    })),
  ];
  // Rise and fall of an input pin often have one figure.
  return [...new Map(all.map((one) => [nameOf(one), one])).values()];
}

/** The figures that are missing, in short: `CLK to Q (rise, fall)`, `set-up of D at CLK`, `CLR# low width`. */
export function gapsIn(behaviour: Behaviour, asked: readonly Asked[]): readonly string[] {
  return inShort(behaviour, asked, ({ figure }) => isMissing(figure));
}

/** Those of the asked that `isMeant` picks, pins by their group where all of the group are meant. */
export function inShort(
  behaviour: Behaviour,
  asked: readonly Asked[],
  isMeant: (one: Asked) => boolean,
): readonly string[] {
  const groups = new Map(behaviour.pins.map((pin) => [pin.name, groupOf(pin)]));
  const group = (pin: string) => groups.get(pin) ?? pin;
  const grouped = new Map<string, Asked[]>();
  for (const one of asked) {
    const key = JSON.stringify([one.what, group(one.pin), group(one.other), one.detail]);
    grouped.set(key, [...(grouped.get(key) ?? []), one]);
  }
  const details = new Map<string, string[]>();
  for (const members of grouped.values()) {
    const meant = members.filter(isMeant);
    const [first] = meant;
    if (first === undefined) continue;
    const named =
      meant.length === members.length ? [{ ...first, pin: group(first.pin), other: group(first.other) }] : meant;
    for (const { detail, ...one } of named) {
      const text = nameOf({ ...one, detail: "%" });
      details.set(text, [...(details.get(text) ?? []), detail]);
    }
  }
  const order = (a: string, b: string) => DETAILS.indexOf(a) - DETAILS.indexOf(b);
  return [...details].map(([text, list]) => text.replace("%", [...list].sort(order).join(", ")));
}

const DETAILS: readonly string[] = ["rise", "fall", "z-to-high", "z-to-low", "high-to-z", "low-to-z", "high", "low"];

/** Sections count as one: `Q` for 1Q to 8Q, and for QA to QD. */
function groupOf({ group, role, name }: Pin): string {
  return role === "output" && /^\d*Q[A-N]$/.test(name) ? "Q" : group;
}

function nameOf({ what, pin, other, detail }: Omit<Asked, "figure">): string {
  switch (what) {
    case "delay":
      return `${pin} to ${other} (${detail})`;
    case "set-up":
    case "hold":
      return `${what} of ${pin} at ${other}`;
    case "width":
      return `${pin} ${detail} width`;
    case "recovery":
      return `recovery of ${pin} to ${other}`;
    case "clock period":
      return `clock period at ${pin}`;
    case "time":
      return pin;
  }
}
