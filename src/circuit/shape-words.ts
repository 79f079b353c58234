import { z } from "zod";

/** A text with what it is for, and examples of it. */
export function text(description: string, ...examples: string[]) {
  return z.string().meta({ description, ...(examples.length > 0 ? { examples } : {}) });
}

/** The JSON Schema (draft 2020-12) of what may be written, before defaults are put in. */
export function jsonSchemaOf(shape: z.ZodType): object {
  return z.toJSONSchema(shape, { target: "draft-2020-12", io: "input" });
}
