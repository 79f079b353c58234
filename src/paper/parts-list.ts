import type { Circuit } from "../circuit/index.js";
import { type Mounting, mountingOf } from "./adapters.js";
import { decoupling } from "../electrical/index.js";

/** One line of a shopping list. */
export interface PartsLine {
  readonly quantity: number;
  /** `74HC163`, `470 ohm`. */
  readonly part: string;
  /** What it is: `synchronous 4-bit counter`, `resistor`. */
  readonly title: string;
  /** Which ones; empty for parts that the circuit file does not name. */
  readonly refs: readonly string[];
  /** `DIP-16`; empty for resistors and capacitors. */
  readonly package: string;
  /** Whether it stands on a board of the circuit's build style. */
  readonly mounting: Mounting;
  /** Advised and not listed in the file. */
  readonly advised: boolean;
}

/** Chips by part number, then resistors, then capacitors with those that are advised; each in order of first use. */
export function partsList(circuit: Circuit): PartsLine[] {
  const chips = new Map<string, PartsLine>();
  for (const { ref, part } of circuit.chips) {
    add(chips, part.number, {
      part: part.number,
      title: part.behaviour.title,
      package: part.package.name,
      mounting: mountingOf(part, circuit),
      ref,
    });
  }
  const passives = new Map<string, PartsLine>();
  const inOrder = [...circuit.passives].sort((a, b) => Number(a.kind === "capacitor") - Number(b.kind === "capacitor"));
  for (const { ref, kind, value } of inOrder) {
    add(passives, `${kind} ${value}`, { part: value, title: kind, package: "", mounting: "fits", ref });
  }
  const { atChip, bulk } = decoupling(circuit);
  for (const { ref, value } of [...atChip.values(), ...bulk]) {
    if (ref !== undefined) continue;
    const title = value === "100 nF" ? "capacitor, ceramic" : "capacitor";
    add(passives, `advised ${value}`, { part: value, title, package: "", mounting: "fits" });
  }
  return [...chips.values(), ...passives.values()];
}

type OneMore = Omit<PartsLine, "quantity" | "refs" | "advised"> & { readonly ref?: string };

function add(lines: Map<string, PartsLine>, key: string, { ref, ...part }: OneMore): void {
  const before = lines.get(key);
  lines.set(key, {
    ...part,
    quantity: (before?.quantity ?? 0) + 1,
    refs: [...(before?.refs ?? []), ...(ref === undefined ? [] : [ref])],
    advised: ref === undefined,
  });
}

/** The package of a line, with what it needs to stand on the board. */
export function packageWords({ package: name, mounting }: PartsLine): string {
  if (mounting === "fits") return name;
  return mounting === "adapter" ? `${name}, on an adapter` : `${name}, if made so`;
}

/** Refs in a few words: three or more in a row become a range, `C2 to C29, U7`. */
export function refRanges(refs: readonly string[]): string {
  const runs: string[][] = [];
  for (const ref of refs) {
    const run = runs.at(-1);
    const last = run?.at(-1);
    if (run && last !== undefined && isNext(last, ref)) run.push(ref);
    else runs.push([ref]);
  }
  const words = runs.flatMap((run) => (run.length > 2 ? [`${run[0]} to ${run.at(-1)}`] : run));
  return words.join(", ");
}

function isNext(before: string, ref: string): boolean {
  const [, prefix, number] = /^(\D+)(\d+)$/.exec(before) ?? [];
  return prefix !== undefined && ref === `${prefix}${Number(number) + 1}`;
}
