import {
  type Missing,
  type OutputFigures,
  families,
  outsideKinds,
  outsideOutput,
  standardOutputOf,
} from "../parts/index.js";
import { type Range, parseVoltRange } from "../quantity/index.js";
import type { OutsideLevels, Supply } from "./circuit.js";
import type { FileContext } from "./file-context.js";
import { quantity } from "./header.js";
import * as say from "./messages.js";
import { nearest } from "./nearest.js";
import type { Path } from "./value.js";

const kinds: readonly string[] = [...outsideKinds, ...families.map((family) => `74${family}`)];

/** Reads `TTL`, `CMOS on 3V3`, `74HC at 3.3 V ± 5 %`. */
export function readLevels(
  text: string,
  path: Path,
  supplies: readonly [Supply, ...Supply[]],
  context: FileContext,
): OutsideLevels | undefined {
  const at = [...path, "levels"];
  const [, written = "", on, volts] = /^\s*(\S+)(?:\s+on\s+(\S+)|\s+at\s+(.+))?\s*$/.exec(text) ?? [];
  const kind = kinds.find((known) => known.toUpperCase() === written.toUpperCase());
  if (kind === undefined) {
    const near = nearest(written, kinds);
    return context.complain(at, say.unknownLevels(text, ["CMOS", "TTL", "74LS", "74HCT", "Z84C00"], near));
  }
  if (volts !== undefined) {
    const range = quantity(context, at, volts, parseVoltRange);
    return range && { kind, supply: { name: `outside at ${printed(range)}`, volts: range } };
  }
  const supply = on === undefined ? supplies[0] : supplies.find(({ name }) => name === on);
  if (supply) return { kind, supply };
  return context.complain(
    at,
    say.unknownSupply(
      on ?? "",
      supplies.map(({ name }) => name),
    ),
  );
}

function printed({ min, max }: Range): string {
  return min === max ? `${min} V` : `${min} to ${max} V`;
}

/** The output figures of what a signal from outside comes from. */
export function outsideOutputOf({ kind }: OutsideLevels, ambient: Range): OutputFigures | Missing {
  const family = kind.startsWith("74") ? standardOutputOf(kind.slice(2), ambient) : undefined;
  return family ?? outsideOutput(kind) ?? { missing: `levels of ${kind}` };
}
