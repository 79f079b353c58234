import * as z from "zod";
import family6502 from "#data/processors/6502.json" with { type: "json" };
import family6809 from "#data/processors/6809.json" with { type: "json" };
import family68008 from "#data/processors/68008.json" with { type: "json" };
import familyZ80 from "#data/processors/z80.json" with { type: "json" };
import { nearestNames } from "./nearest-names.js";
import { plainNumber } from "./part-number.js";

/** A sum of times, such as `2 T + H - TdCr_A`; see `sum-of-times.ts`. */
const formula = z.string();

const line = z.discriminatedUnion("timing", [
  z.strictObject({ nets: z.string(), timing: z.literal("any time"), high: formula, low: formula, repeat: formula }),
  z.strictObject({
    nets: z.string(),
    timing: z.literal("steady around"),
    reference: z.string(),
    before: formula,
    after: formula,
  }),
  z.strictObject({ nets: z.string(), timing: z.literal("after"), reference: z.string(), from: formula, to: formula }),
]);

const processor = z.strictObject({
  name: z.string(),
  aliases: z.array(z.string()),
  title: z.string(),
  source: z.strictObject({ publisher: z.string(), document: z.string() }),
  fromMemory: z.boolean(),
  package: z.strictObject({
    name: z.string(),
    fromMemory: z.boolean(),
    pins: z.record(z.string().regex(/^\d+$/), z.string()),
  }),
  clock: z.strictObject({
    pin: z.string(),
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
  /** Sums that must not be negative for the lines to hold. */
  conditions: z.array(z.strictObject({ formula, because: z.string() })),
  reads: z.array(z.strictObject({ what: z.string(), formula })),
  wait: z.strictObject({
    pin: z.string(),
    /** The level that makes the processor wait. */
    active: z.literal(["low", "high"]),
    setUp: z.string().exactOptional(),
    hold: z.string().exactOptional(),
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

const table = z.strictObject({ about: z.string(), processors: z.array(processor) });

/** What a board needs to know of a processor: pins, clock, and the times of its bus. Times in ns, by the sheet's symbols. */
export type Processor = z.infer<typeof processor>;
export type ProcessorGrade = Processor["grades"][number];
/** The timing of some of a processor's nets, by formulas over the symbols of its grade. */
export type BusLine = z.infer<typeof line>;

/** Every processor on record. */
export const processors: readonly Processor[] = [family6502, familyZ80, family6809, family68008].flatMap(
  (file) => table.parse(file).processors,
);

/** The processor of that name or of one of its other names. */
export function processorNamed(name: string): Processor | undefined {
  const plain = plainNumber(name);
  return processors.find((one) => [one.name, ...one.aliases].some((other) => plainNumber(other) === plain));
}

/** Names of processors that come close. */
export function processorsLike(name: string): readonly string[] {
  return nearestNames(
    name,
    processors.flatMap((one) => [one.name, ...one.aliases]),
  );
}
