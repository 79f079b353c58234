import { z } from "zod";
import { byteAddress, bytesOrFile } from "../../circuit/bytes-shape.js";
import { jsonSchemaOf } from "../../circuit/shape-words.js";
import { dithers } from "../picture/dither.js";
import { filters, fits } from "../picture/fit.js";

/**
 * A loading list as it is written: what is put on the screen, one layer over the other. This is the one statement of its
 * structure; `docs/loading.md` explains it.
 */

/** A version of the format that this program reads. */
export const LIST_VERSION = 1;

const dots = (description: string) => z.number().int().min(-4096).max(4096).optional().meta({ description });
const side = (description: string) => z.number().int().positive().max(4096).optional().meta({ description });

const place = {
  x: dots("Dots from the left; in characters where the screen shows characters. 0 when absent."),
  y: dots("Dots from the top; in characters where the screen shows characters. 0 when absent."),
  width: side("Width of the place; up to the right edge when absent."),
  height: side("Height of the place; down to the bottom edge when absent."),
};

const picture = z
  .strictObject({
    picture: z
      .strictObject({
        file: z.string().meta({ description: "A PNG, JPEG or netpbm picture.", examples: ["harbour.png"] }),
        ...place,
        fit: z.enum(fits).optional().meta({
          description: "How it comes into its place: all of it, cut, bent, or dot for dot. `fit` when absent.",
        }),
        filter: z.enum(filters).optional().meta({ description: "How it is scaled. `mks2013` when absent." }),
        dither: z
          .enum(dithers)
          .optional()
          .meta({ description: "How levels between are shown. `floyd-steinberg` when absent." }),
        crop: z
          .strictObject({
            x: z.number().int().nonnegative().meta({ description: "Dots of the picture from its left." }),
            y: z.number().int().nonnegative().meta({ description: "Dots of the picture from its top." }),
            width: z.number().int().positive().max(65_536).meta({ description: "Dots of the picture across." }),
            height: z.number().int().positive().max(65_536).meta({ description: "Dots of the picture down." }),
          })
          .optional()
          .meta({ description: "The part of it that is taken; all of it when absent." }),
        brightness: z
          .number()
          .min(-255)
          .max(255)
          .optional()
          .meta({ description: "Added to every level of 0 to 255. 0 when absent." }),
        contrast: z
          .number()
          .min(0)
          .max(100)
          .optional()
          .meta({ description: "Times what a level differs from the middle. 1 when absent." }),
        negative: z.boolean().optional().meta({ description: "Whether light and dark change places." }),
      })
      .meta({ description: "A picture and how it is shown." }),
  })
  .meta({ description: "Puts a picture on the screen." });

const text = z
  .strictObject({
    text: z
      .strictObject({
        text: z
          .string()
          .optional()
          .meta({ description: "The text.", examples: ["HIGH WATER"] }),
        file: z
          .string()
          .optional()
          .meta({ description: "A file with the text, in UTF-8.", examples: ["tides.txt"] }),
        font: z
          .string()
          .optional()
          .meta({ description: "A BDF or console font; that of the list when absent.", examples: ["6x13.bdf"] }),
        ...place,
        align: z.enum(["left", "centre", "right"]).optional().meta({ description: "Where its lines stand." }),
        scale: z
          .number()
          .int()
          .min(1)
          .max(64)
          .optional()
          .meta({ description: "Each dot of the font as so many. 1 when absent." }),
        leading: z
          .number()
          .int()
          .min(-64)
          .max(256)
          .optional()
          .meta({ description: "Dots more between lines. 0 when absent." }),
        inverse: z.boolean().optional().meta({ description: "Dark on light." }),
        colour: z
          .number()
          .int()
          .nonnegative()
          .optional()
          .meta({ description: "Number of its colour among those of a dot; the last when absent." }),
      })
      .meta({ description: "A text and how it is set." }),
  })
  .meta({ description: "Puts a text on the screen." });

const testCard = z
  .strictObject({ "test card": z.literal(true).meta({ description: "`true`." }) })
  .meta({ description: "Puts a test card on the screen." });

const fill = z
  .strictObject({
    fill: z
      .strictObject({
        colour: z
          .number()
          .int()
          .nonnegative()
          .meta({ description: "Number of the colour among those of a dot; 0 is dark." }),
        ...place,
      })
      .meta({ description: "A colour and its place." }),
  })
  .meta({ description: "Fills the screen or a place of it with one colour." });

const bytes = z
  .strictObject({
    bytes: z
      .strictObject({
        at: byteAddress("Address of the first byte, at the memory's own pins."),
        ...bytesOrFile("A file with the bytes, as they are."),
      })
      .meta({ description: "Bytes and where they go." }),
  })
  .meta({ description: "Puts bytes into the memory." });

export const loadingList = z.strictObject({
  load: z.literal(LIST_VERSION).meta({ description: "Version of the format.", examples: [1] }),
  font: z
    .string()
    .optional()
    .meta({ description: "Font of all texts that name none, and of a character ROM; the project's own when absent." }),
  layers: z
    .array(z.union([picture, text, testCard, fill, bytes]))
    .max(10_000)
    .meta({ description: "What is put on the screen, one over the other.", examples: [[{ "test card": true }]] }),
});

export type LoadingList = z.infer<typeof loadingList>;
export type LayerEntry = LoadingList["layers"][number];

/** The JSON Schema (draft 2020-12) of the loading list, as published in `data/loading.schema.json`. */
export function loadingSchema(): object {
  return jsonSchemaOf(loadingList);
}
