import { readFileSync } from "node:fs";
import peggy from "peggy";

/** One value in a parsed dump. */
export interface ParsedValue {
  readonly kind: "bits" | "real";
  readonly value: string;
  readonly code: string;
}

/** A dump as the grammar of the standard parses it, declarations and changes in their order. */
export interface ParsedDump {
  readonly declarations: readonly {
    readonly keyword: string;
    readonly number?: number;
    readonly unit?: string;
    readonly name?: string;
    readonly type?: string;
    readonly size?: number;
    readonly code?: string;
    readonly reference?: { readonly name: string; readonly first?: number; readonly last?: number };
  }[];
  readonly changes: readonly {
    readonly keyword: string;
    readonly time?: number;
    readonly values: readonly ParsedValue[];
  }[];
}

const grammar = readFileSync(new URL("../data/value-change-dump.peggy", import.meta.url), "utf8");
const parser = peggy.generate(grammar);

/** Parses a dump by the standard's grammar with a general-purpose parser; throws where the grammar does not allow it. */
export function parseDump(text: string): ParsedDump {
  return parser.parse(text) as ParsedDump;
}

/** One event of a dump: when, to which code, and the value as written. */
export interface DumpEvent {
  readonly time: number;
  readonly code: string;
  readonly bits: string;
}

/** The changes of a parsed dump as events, values filled up on the left as table 18-2 of the standard has it. */
export function eventsOf({ declarations, changes }: ParsedDump): DumpEvent[] {
  const sizes = new Map(declarations.flatMap(({ code, size, type }) => (code ? [[code, { size, type }]] : [])));
  let time = 0;
  return changes.flatMap((change) => {
    time = change.time ?? time;
    return change.values.flatMap(({ kind, value, code }): DumpEvent[] => {
      const { size = 0, type = "" } = sizes.get(code) ?? {};
      if (kind === "real" || ["real", "realtime", "event"].includes(type)) return [];
      const bits = value.toLowerCase();
      const fill = { "0": "0", "1": "0", x: "x", z: "z" }[bits[0] ?? "x"] ?? "x";
      return [{ time, code, bits: fill.repeat(Math.max(0, size - bits.length)) + bits }];
    });
  });
}
