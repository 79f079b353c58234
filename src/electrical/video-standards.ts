import * as z from "zod";
import file from "#data/electrical/video-levels.json" with { type: "json" };

const source = z.strictObject({ publisher: z.string(), document: z.string() });

const standards = z
  .strictObject({
    about: z.string(),
    component: z.strictObject({
      title: z.string(),
      loadOhms: z.number(),
      full: z.strictObject({ least: z.number(), nominal: z.number(), most: z.number() }),
      source,
      fromMemory: z.boolean(),
    }),
    sync: z.strictObject({
      title: z.string(),
      lowMost: z.number(),
      highLeast: z.number(),
      loadOhms: z.number(),
      loadSource: z.string(),
      source,
      fromMemory: z.boolean(),
    }),
    composite: z.array(
      z.strictObject({
        system: z.literal(["525", "625"]),
        title: z.string(),
        sync: z.number(),
        black: z.number(),
        white: z.number(),
        blackNote: z.string().exactOptional(),
        source,
        fromMemory: z.boolean(),
      }),
    ),
    compositeInterface: z.strictObject({
      loadOhms: z.number(),
      peakToPeak: z.strictObject({ nominal: z.number(), decibels: z.number() }),
      sync: z.strictObject({ nominal: z.number(), decibelsLess: z.number(), decibelsMore: z.number() }),
      source,
      fromMemory: z.boolean(),
    }),
  })
  .parse(file);

/** Red, green and blue into a computer monitor: volts from black to full, into the load. */
export const componentVideo = standards.component;
/** Separate syncs into a computer monitor, in volts. */
export const separateSync = standards.sync;
/** Levels of composite video from blanking, in volts, by the number of lines of a frame. */
export const compositeSystems = standards.composite;
/** What a receiver of composite video takes. */
export const compositeInterface = standards.compositeInterface;

export type CompositeSystem = (typeof compositeSystems)[number];

/** A voltage ratio from decibels: 20 for tenfold. */
export function ratioOf(decibels: number): number {
  return 10 ** (decibels / 20);
}

/** `publisher document` as verdicts cite it. */
export function citation({ publisher, document }: z.infer<typeof source>, fromMemory = false): string {
  return `${publisher} ${document}${fromMemory ? " (from memory)" : ""}`;
}
