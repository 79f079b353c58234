import * as z from "zod";
import dualPort from "#data/memories/dual-port.json" with { type: "json" };
import eeprom from "#data/memories/eeprom.json" with { type: "json" };
import eprom from "#data/memories/eprom.json" with { type: "json" };
import flash from "#data/memories/flash.json" with { type: "json" };
import sram from "#data/memories/sram.json" with { type: "json" };

const read = z.literal(["tRC", "tAA", "tACE", "tOE", "tOH", "tLZCE", "tHZCE", "tLZOE", "tHZOE"]);
const write = z.literal(["tWC", "tAW", "tCW", "tAS", "tWP", "tDW", "tDH", "tWR", "tOW", "tWHZ"]);
const times = z.partialRecord(z.union([read, write]), z.number());

const row = z.strictObject({
  part: z.string(),
  /** The behaviour's function: `32Kx8`, `32Kx8 EPROM`. */
  function: z.string(),
  /** Access time in ns. */
  grade: z.number(),
  source: z.string(),
  supply: z.tuple([z.number(), z.number()]),
  aliases: z.array(z.string()).default([]),
  /** Guaranteed ambient in °C; absent: the commercial range. */
  ambient: z.tuple([z.number(), z.number()]).default([0, 70]),
  packages: z.array(z.string()),
  fromMemory: z.boolean().default(false),
  times,
  testLoad: z.string().exactOptional(),
  ciMax: z.number().exactOptional(),
  coMax: z.number().exactOptional(),
  notes: z.array(z.string()).default([]),
});

const table = z.strictObject({
  about: z.string(),
  sources: z.record(
    z.string(),
    z.strictObject({
      publisher: z.string(),
      document: z.string(),
      title: z.string().exactOptional(),
      url: z.string().exactOptional(),
    }),
  ),
  rows: z.array(row),
});

/** One grade of one memory as its sheet prints it. Times in ns; capacitances in pF. */
export interface MemoryRow extends Omit<z.infer<typeof row>, "source"> {
  readonly source: z.infer<typeof table>["sources"][string];
  /** The memory on record whose levels and loads it has, where it is a builder's own. */
  readonly levels?: string;
}

/** Every memory on record, read-only ones last. */
export const memoryRows: readonly MemoryRow[] = [sram, dualPort, eeprom, flash, eprom].flatMap((file) => {
  const { sources, rows } = table.parse(file);
  return rows.map(({ source, ...rest }) => ({
    ...rest,
    source: sources[source] ?? { publisher: "unknown", document: source },
  }));
});
