import { z } from "zod";
import { byteAddress, bytesOrFile } from "../../circuit/bytes-shape.js";

/**
 * A script as it is written: what a processor does at the inputs of a circuit. This is the one statement of its structure;
 * `docs/scripts.md` explains it.
 */

/** A version of the format that this program reads. */
export const SCRIPT_VERSION = 1;

/** A number, or one of the numbers that stand for what is written at the moment. */
const number = z
  .union([z.number().int().nonnegative(), z.enum(["ADDRESS", "DATA", "BIT"])])
  .meta({ description: "A whole number, or ADDRESS, DATA or BIT.", examples: ["DATA"] });

const set = z
  .strictObject({
    set: z
      .record(z.string(), number)
      .meta({ description: "Inputs and the level of each; of a bus its number.", examples: [{ PA: "ADDRESS" }] }),
  })
  .meta({ description: "Sets inputs at once." });

const wait = z
  .strictObject({ wait: z.string().meta({ description: "A time.", examples: ["500 ns"] }) })
  .meta({ description: "Lets time pass." });

const until = z
  .strictObject({ until: z.string().meta({ description: "A time after the reset.", examples: ["5 ms"] }) })
  .meta({ description: "Waits until so long after the reset." });

const after = z
  .strictObject({ after: z.string().meta({ description: "An edge of any net.", examples: ["VSYNC fall"] }) })
  .meta({ description: "Waits for the next edge of a net." });

const simple = [set, wait, until, after] as const;

const bits = z
  .strictObject({
    bits: z.strictObject({
      of: z.enum(["ADDRESS", "DATA"]).meta({ description: "Whose bits.", examples: ["DATA"] }),
      first: z
        .number()
        .int()
        .nonnegative()
        .meta({ description: "The bit that comes first.", examples: [7] }),
      last: z
        .number()
        .int()
        .nonnegative()
        .meta({ description: "The bit that comes last.", examples: [0] }),
      do: z.array(z.union(simple)).meta({ description: "What is done for each, with BIT for its level." }),
    }),
  })
  .meta({ description: "Does something for each bit: a serial transfer." });

const write = z
  .strictObject({
    write: z.strictObject({
      at: byteAddress("Address of the first byte."),
      ...bytesOrFile("A file with the bytes."),
      text: z
        .string()
        .optional()
        .meta({ description: "A text, a byte a letter (ISO 8859-1).", examples: ["HIGH WATER"] }),
      count: z
        .number()
        .int()
        .positive()
        .optional()
        .meta({ description: "So many bytes, `bytes` over and over; all of them once when absent.", examples: [256] }),
    }),
  })
  .meta({ description: "Writes bytes one after the other, each as `write` says at the top." });

export const scriptFile = z.strictObject({
  script: z.literal(SCRIPT_VERSION).meta({ description: "Version of the format.", examples: [1] }),
  write: z
    .array(z.union([...simple, bits]))
    .optional()
    .meta({ description: "How one byte is written: ADDRESS and DATA stand for its numbers." }),
  steps: z.array(z.union([...simple, bits, write])).meta({
    description: "What is done, one after the other, from when the reset is let go.",
    examples: [[{ wait: "1 ms" }]],
  }),
});

export type ScriptFile = z.infer<typeof scriptFile>;
export type StepEntry = ScriptFile["steps"][number];
