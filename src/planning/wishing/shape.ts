import { z } from "zod";
import { jsonSchemaOf, text } from "../../circuit/shape-words.js";
import { SHARING_KINDS } from "../search/sharing-costs.js";

/**
 * A wish file as it is written: quantities as text with their units. This is the one statement of its structure; the
 * published JSON Schema (`data/wishes.schema.json`) is generated from it, and the options of `plan` have the same names.
 */

/** A version of the file's format that this program reads. */
export const WISHES_VERSION = 1;

const texts = (description: string, ...examples: string[]) =>
  z
    .union([text("One of them.", ...examples.slice(0, 1)), z.array(text("One of them.", ...examples))])
    .optional()
    .meta({ description, examples: [examples] });

const count = (description: string, example: number) =>
  z
    .number()
    .int()
    .nonnegative()
    .optional()
    .meta({ description, examples: [example] });

const one = (description: string, ...examples: string[]) => text(description, ...examples).optional();

/** Every wish, by its key. */
export const wishKeys = z.strictObject({
  rasters: texts("Rasters that the monitor takes; any published one unless given.", "640x480@60", "800x600@60"),
  monitor: one("Rates that the monitor follows: lines, then frames a second.", "30-83 kHz, 50-76 Hz"),
  oscillators: texts("Oscillators in the drawer; any stock frequency unless given.", "25.175 MHz", "40 MHz"),
  lines: count("Lines a frame, where they are not to be the raster's.", 262),
  picture: one("Dots of the picture; all that the raster shows unless given.", "320 x 240"),
  text: one("Characters of a page and its lines, in place of a picture.", "40 x 25"),
  character: one("Dots of a character: 8 wide, and 8 or 16 high unless given.", "8 x 16"),
  bits: z
    .union([z.number().int().positive(), z.array(z.number().int().positive())])
    .optional()
    .meta({ description: "Bits a dot: 1, 2, 4 or 8.", examples: [1] }),
  memory: texts("Static RAMs; any in a package for a breadboard unless given.", "62256-70", "62256-15"),
  families: z
    .union([z.enum(["HC", "fast"]), z.array(z.enum(["HC", "fast"]))])
    .optional()
    .meta({
      description: "Logic: `HC`, or `fast` (74ACT, 74ALS and 74AHCT where dots are counted).",
      examples: ["HC"],
    }),
  sharing: z
    .union([z.enum(SHARING_KINDS), z.array(z.enum(SHARING_KINDS))])
    .optional()
    .meta({ description: "How the processor gets at the memory.", examples: [["write latch", "wait states"]] }),
  "write rate": one("Bytes a second that the processor must be able to write.", "300 kB/s"),
  "longest wait": one("The longest time until its next write is taken.", "4 us"),
  chips: count("Chips at most, the oscillator can among them.", 30),
  margin: one("The least margin.", "5 ns"),
  "memory left": one("What the picture leaves of the memory, at least.", "4 KiB"),
  deviation: one("How far line and frame rate may be off the raster's; 0.5 % unless given.", "0.5 %"),
  composite: z
    .boolean()
    .optional()
    .meta({ description: "Composite video where the line rate is a television's.", examples: [true] }),
  processor: one("The processor, for the ways of sharing that hang on it.", "W65C02S"),
  "character ROM": one("The ROM of a text's characters.", "27C256-70"),
  build: z
    .enum(["breadboard", "perfboard", "printed board"])
    .optional()
    .meta({ description: "How it is built.", examples: ["breadboard"] }),
  supply: one("The supply.", "5 V ± 5 %"),
  ambient: one("The air temperature.", "0 to 50 °C"),
});

export const wishFile = wishKeys.extend({
  wishes: z.literal(WISHES_VERSION).meta({ description: "Version of the format.", examples: [1] }),
});

/** Wishes as they are written, in a file or as options. */
export type WishTexts = z.infer<typeof wishKeys>;
export type WishKey = keyof WishTexts;

/** The JSON Schema of the wish file. */
export function wishesSchema(): object {
  return jsonSchemaOf(wishFile);
}
