import { z } from "zod";

/** The address of a first byte, as scripts and loading lists write it. */
export const byteAddress = (description: string) =>
  z
    .number()
    .int()
    .nonnegative()
    .meta({ description, examples: [0x100] });

/** Bytes, written out or in a file: one of the two keys. */
export const bytesOrFile = (fileDescription: string) => ({
  bytes: z
    .array(z.number().int().min(0).max(255))
    .optional()
    .meta({ description: "The bytes.", examples: [[0xff, 0x81]] }),
  file: z
    .string()
    .optional()
    .meta({ description: fileDescription, examples: ["tide.bin"] }),
});
