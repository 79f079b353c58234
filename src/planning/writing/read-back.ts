import { LOW, type WrittenChip, bus, chip } from "./board.js";
import type { FamilyParts } from "./families.js";
import type { Enable, MemoryEnables, Pulse, Window } from "./sharing.js";

/** The nets that say what is done in a cell: high in those of a write, high in all others, high where a read is taken. */
interface Reading {
  readonly puts: string;
  readonly keeps: string;
  /** Absent where a read is taken in every cell. */
  readonly reads?: string;
  readonly parts: FamilyParts;
}

/** What it takes for the RAM to be read by the processor as well: it drives in both slots, but for cells in which it is written. */
export interface ReadBack {
  readonly windows: readonly Window[];
  readonly takes: readonly Pulse[];
  readonly enables: readonly Enable[];
  readonly chips: readonly WrittenChip[];
  readonly about: string;
  readonly undrivenPhases: number;
  readonly memories: readonly MemoryEnables[];
  readonly picture: readonly string[];
}

export function readBack({ puts, keeps, reads, parts }: Reading): ReadBack {
  return {
    windows: [{ net: "READ_SOON#", first: 3, last: 5, when: keeps }],
    takes: [{ net: "TAKE_READ", ...(reads !== undefined && { when: reads }), note: "takes what the processor reads" }],
    enables: [
      {
        net: "RAM_ENABLE#",
        soon: {
          kind: "AND",
          inputs: ["T7#", "READ_SOON#"],
          output: "RAM_SOON#",
          isQuick: true,
          remark: "low in phases 7, 0 and 1, and 3 to 5 but for a write",
        },
        inReset: "low",
      },
      {
        net: "WRITE_DATA#",
        soon: {
          kind: "AND",
          inputs: [...parts.twoToFour, puts],
          output: "WRITE_SOON_NEXT",
          isQuick: true,
          remark: `phases 2 to 4 where ${puts} is high`,
        },
        // T3 carries the clocks of counters and syncs, and has no time for another gate.
        between: "WRITE_SOON",
        inReset: "high",
      },
    ],
    chips: [
      chip(parts.readRegister, "data that the processor reads; TTL inputs behind the RAM", {
        CLK: "TAKE_READ",
        "OE#": LOW,
        "[1..8]D": bus("MD", 8),
        "[1..8]Q": bus("PR", 8),
      }),
    ],
    about: "The processor's board puts PR0 to PR7 on its data bus where it reads this memory.",
    undrivenPhases: 2,
    memories: [{ output: "RAM_ENABLE#", write: "WE#", note: "picture memory", data: "MD" }],
    picture: [
      "  RAM_ENABLE# low   low   low   -     low   low   low   -      the RAM drives, in the processor's phases unless it is written",
      "  WRITE_DATA# -     -     -     -     low   low   low   -      the processor's data drive the wires instead",
    ],
  };
}
