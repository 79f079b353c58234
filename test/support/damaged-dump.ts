import { isDeepStrictEqual } from "node:util";
import fc from "fast-check";
import { type DumpDeclarations, type DumpRemark, DumpReader } from "../../src/simulation/index.js";
import { type DumpEvent, eventsOf, parseDump } from "./dump-grammar.js";
import { randomDumps } from "./random-dump.js";

/** What the reader makes of a text that comes in pieces. */
export interface ReadDump {
  readonly declarations?: DumpDeclarations;
  readonly events: readonly DumpEvent[];
  readonly problem?: DumpRemark;
  readonly notes: readonly DumpRemark[];
}

export function readDump(...pieces: readonly string[]): ReadDump {
  const events: DumpEvent[] = [];
  let declarations: DumpDeclarations | undefined;
  const reader = new DumpReader({
    declared: (said) => (declarations = said),
    change: (time, { code }, bits) => events.push({ time, code, bits }),
  });
  for (const piece of pieces) reader.push(piece);
  const problem = reader.end();
  return { ...(declarations && { declarations }), events, ...(problem && { problem }), notes: reader.notes };
}

/** Takes some characters out of a dump at a place and puts others there. */
const damage = fc.record({
  at: fc.nat(),
  remove: fc.nat(6),
  put: fc.oneof(
    fc.constantFrom("", " ", "$end", " $end ", "#", "b", "x", "1!", "$var", " r1.5 ", "$dumpoff ", "[3]", "\u0000"),
    fc.string({ maxLength: 3 }),
  ),
});

/**
 * Damages random dumps, and holds the reader against the standard's grammar where it accepts them without a note. Throws
 * where the grammar does not, or reads something else; else says how many were accepted.
 */
export function compareOnDamagedDumps(runs: number): number {
  let accepted = 0;
  fc.assert(
    fc.property(randomDumps, fc.array(damage, { minLength: 1, maxLength: 2 }), ({ text }, damages) => {
      let broken = text;
      for (const { at, remove, put } of damages) {
        const place = at % (broken.length + 1);
        broken = broken.slice(0, place) + put + broken.slice(place + remove);
      }
      const { problem, notes, events } = readDump(broken);
      if (problem || notes.length > 0) return;
      accepted++;
      if (!isDeepStrictEqual(eventsOf(parseDump(broken)), events)) throw new Error("the grammar reads other values");
    }),
    { numRuns: runs },
  );
  return accepted;
}
