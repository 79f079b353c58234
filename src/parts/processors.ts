import * as z from "zod";
import family6502 from "#data/processors/6502.json" with { type: "json" };
import family6809 from "#data/processors/6809.json" with { type: "json" };
import family68008 from "#data/processors/68008.json" with { type: "json" };
import familyZ80 from "#data/processors/z80.json" with { type: "json" };
import { nearestNames } from "./nearest-names.js";
import { plainNumber } from "./part-number.js";

/** A sum of times, such as `2 T + H - TdCr_A`; see `sum-of-times.ts`. */
const formula = z.string();

/** What a line is about: the nets of pins of the processor, or a strobe that the board's gates make, which has no pins. */
const about = { pins: z.string().exactOptional(), nets: z.string() };

const line = z.discriminatedUnion("timing", [
  z.strictObject({ ...about, timing: z.literal("any time"), high: formula, low: formula, repeat: formula }),
  z.strictObject({
    ...about,
    timing: z.literal("steady around"),
    reference: z.string(),
    before: formula,
    after: formula,
  }),
  z.strictObject({ ...about, timing: z.literal("after"), reference: z.string(), from: formula, to: formula }),
]);

const processor = z.strictObject({
  name: z.string(),
  otherNames: z.array(z.string()),
  title: z.string(),
  source: z.strictObject({ publisher: z.string(), document: z.string() }),
  fromMemory: z.boolean(),
  package: z.strictObject({
    name: z.string(),
    fromMemory: z.boolean(),
    pins: z.record(z.string().regex(/^\d+$/), z.string()),
  }),
  /** Pins by what they are for, as `define` takes them; VCC and GND come by themselves. */
  signals: z.strictObject({
    inputs: z.string(),
    outputs: z.string(),
    inOuts: z.string(),
    unconnected: z.string().exactOptional(),
  }),
  /** Other makers' names of pins to the names here. */
  aliases: z.record(z.string(), z.string()),
  /** Inputs, all active low, that make it let go of the bus. */
  releasedBy: z.array(z.string()),
  clock: z.strictObject({
    /** The pin that times count from. */
    pin: z.string(),
    /** The input that an oscillator feeds, and its cycles to one of `pin`. */
    fedAt: z.string(),
    divide: z.number(),
    /** `outside`: the board's oscillator drives the pin; `processor`: the processor makes the clock that times count from. */
    from: z.literal(["outside", "processor"]),
    cycle: z.string(),
    /** From outside: the least time that the sheet asks for. From the processor: what it gives. */
    high: formula,
    low: formula,
  }),
  strobeIs: z.string(),
  needsGate: z.boolean(),
  leastCyclesBetweenWrites: z.number(),
  writesWhen: z.string(),
  lines: z.array(line),
  strobe: z.array(line),
  /** The pin whose pulse makes a write strobe, and the pins that choose whether it does. */
  gating: z.strictObject({
    pin: z.string(),
    active: z.literal(["low", "high"]),
    /** The pin that tells writing from reading; absent where the pulse comes in writes only. */
    writesWhileLow: z.string().exactOptional(),
    selects: z.array(
      z.strictObject({
        pins: z.string(),
        /** How long the pins stand before the pulse begins and after it ends, at least. */
        before: formula,
        after: formula,
        /** Goes back by itself as the pulse ends, so that it may end the strobe but begins no other. */
        ends: z.literal(true).exactOptional(),
      }),
    ),
  }),
  /** Sums that must not be negative for the lines to hold. */
  conditions: z.array(z.strictObject({ formula, because: z.string() })),
  reads: z.strictObject({
    /** How soon after its pins it wants data, set-up taken off, and how long the pins stay once it has them. */
    from: z.array(z.strictObject({ pins: z.string(), within: formula, kept: formula })),
    /** How long it wants the data to stay. */
    hold: formula,
    /** How soon after these levels it may drive data itself. */
    letGo: z.array(z.strictObject({ pins: z.string(), level: z.literal(["low", "high"]), within: formula })),
  }),
  wait: z.strictObject({
    pin: z.string(),
    /** The level that makes the processor wait. */
    active: z.literal(["low", "high"]),
    /** The edge of `clock.pin` at which it is looked at, where that pin is an input and a late change does harm. */
    edge: z.literal(["rise", "fall"]).exactOptional(),
    setUp: z.string().exactOptional(),
    hold: z.string().exactOptional(),
    /** May change at any time: the processor only takes notice a clock later. */
    asynchronous: z.literal(true).exactOptional(),
    notes: z.array(z.string()),
  }),
  grades: z.array(
    z.strictObject({
      name: z.string(),
      supply: z.tuple([z.number(), z.number()]),
      megahertz: z.number(),
      times: z.record(z.string(), z.number()),
    }),
  ),
  notes: z.array(z.string()),
});

const table = z.strictObject({
  about: z.string(),
  /** What each symbol of the sheets means; constants of formulas have no meaning of their own. */
  symbols: z.record(z.string(), z.string()),
  processors: z.array(processor),
});

/** What a board needs to know of a processor: pins, clock, and the times of its bus. Times in ns, by the sheet's symbols. */
export type Processor = z.infer<typeof processor> & { readonly symbols: Readonly<Record<string, string>> };
export type ProcessorGrade = Processor["grades"][number];
/** The timing of some of a processor's nets, by formulas over the symbols of its grade. */
export type BusLine = z.infer<typeof line>;

/** Every processor on record. */
export const processors: readonly Processor[] = [family6502, familyZ80, family6809, family68008].flatMap((file) => {
  const { symbols, processors: members } = table.parse(file);
  return members.map((member) => ({ ...member, symbols }));
});

/** The processor of that name or of one of its other names. */
export function processorNamed(name: string): Processor | undefined {
  const plain = plainNumber(name);
  return processors.find((one) => [one.name, ...one.otherNames].some((other) => plainNumber(other) === plain));
}

/** The grade that a part number names: `Z84C0008`, `MC68A09`. Grades called by their rate or supply have no number. */
export function gradeNamed(
  number: string,
): { readonly processor: Processor; readonly grade: ProcessorGrade } | undefined {
  const plain = plainNumber(number);
  for (const processor of processors) {
    const grade = processor.grades.find(({ name }) => !name.includes(" ") && plainNumber(name) === plain);
    if (grade) return { processor, grade };
  }
  return undefined;
}

/** Every number under which a processor can be bought, each once. */
export const processorNumbers: readonly string[] = [
  ...new Set(
    processors.flatMap(({ name, grades }) => [
      name,
      ...grades.map((grade) => grade.name).filter((grade) => !grade.includes(" ")),
    ]),
  ),
];

/** Names of processors that come close. */
export function processorsLike(name: string): readonly string[] {
  return nearestNames(
    name,
    processors.flatMap((one) => [one.name, ...one.otherNames]),
  );
}
