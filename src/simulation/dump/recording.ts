import type { NetId } from "../../circuit/circuit.js";
import { Tape } from "../tape.js";
import { type Value, HIGH, LOW, UNDRIVEN, UNKNOWN } from "../value.js";
import type { DumpDeclarations, DumpListener, DumpSection, DumpVariable } from "./dump.js";

/** One bit of a variable: 0 is the least significant. */
interface Bit {
  readonly variable: DumpVariable;
  readonly bit: number;
}

const VALUES: Readonly<Record<string, Value>> = { "0": LOW, "1": HIGH, x: UNKNOWN, z: UNDRIVEN };

/**
 * Keeps the named nets of a dump while it is read, from its first time on, in femtoseconds. A net is a variable of one bit or
 * a bit of a wider one, `DATA[3]`; where several scopes have the name, the scopes belong before it, `board.HSYNC`.
 */
export class DumpRecording implements DumpListener {
  private readonly names: readonly string[];
  private readonly found = new Map<string, Tape>();
  private readonly tapesOf = new Map<DumpVariable, { readonly bit: number; readonly tape: Tape }[]>();
  private unitFs = 1;
  private origin: number | undefined;
  private last = 0;
  private isFull = false;
  private readonly wrong: string[] = [];

  constructor(names: readonly string[]) {
    this.names = [...new Set(names)];
  }

  /** A tape for each name that was found. Before its first value a net is unknown. */
  get tapes(): ReadonlyMap<string, Tape> {
    return this.found;
  }

  /** What is wrong with the names, one sentence each; known once the declarations are read. */
  get problems(): readonly string[] {
    return this.wrong;
  }

  /** When the record ends, in femtoseconds from its beginning. */
  get untilFs(): number {
    return this.last;
  }

  /** True where the dump goes on after what can be counted in whole femtoseconds, nine seconds; the rest is left out. */
  get isCut(): boolean {
    return this.isFull;
  }

  declared({ unitFs, variables }: DumpDeclarations): void {
    this.unitFs = unitFs;
    for (const name of this.names) {
      const bit = findBit(name, variables);
      if (typeof bit === "string") {
        this.wrong.push(bit);
        continue;
      }
      const tape = new Tape(this.found.size as NetId, 0, UNKNOWN);
      this.found.set(name, tape);
      const present = this.tapesOf.get(bit.variable);
      if (present) present.push({ bit: bit.bit, tape });
      else this.tapesOf.set(bit.variable, [{ bit: bit.bit, tape }]);
    }
  }

  time(time: number): void {
    const fs = (time - (this.origin ?? time)) * this.unitFs;
    this.origin ??= time;
    if (Number.isSafeInteger(fs)) this.last = fs;
    else this.isFull = true;
  }

  change(_time: number, variable: DumpVariable, bits: string): void {
    if (this.isFull) return;
    for (const { bit, tape } of this.tapesOf.get(variable) ?? []) {
      this.put(tape, VALUES[bits[bits.length - 1 - bit] ?? "x"] ?? UNKNOWN);
    }
  }

  section(_time: number, section: DumpSection): void {
    if (section !== "$dumpoff" || this.isFull) return;
    // Until values are dumped again nobody knows them, whether the section lists them or not.
    for (const tape of this.found.values()) this.put(tape, UNKNOWN);
  }

  private put(tape: Tape, value: Value): void {
    if (tape.valueAt(this.last) !== value) tape.add(this.last, value);
  }
}

/** Finds what a name stands for, or says why it is not found. */
function findBit(name: string, variables: readonly DumpVariable[]): Bit | string {
  const whole = matching(name, variables);
  const [, stem = "", index] = /^(.+)\[(-?\d{1,9})\]$/.exec(name) ?? [];
  const all = whole.length > 0 || index === undefined ? whole : matching(stem, variables);
  const distinct = [...new Set(all)];
  const [variable] = distinct;
  if (!variable) return `the dump has no ${name}`;
  if (distinct.length > 1) {
    const paths = distinct.map((one) => pathOf(one, name)).slice(0, 3);
    return `the dump has ${distinct.length} nets ${name}: say which, such as ${paths.join(" or ")}`;
  }
  if (variable.kind !== "bits") return `${name} is of the type ${variable.type}, which has no bits`;
  if (index !== undefined && whole.length === 0) {
    const { range = { first: variable.size - 1, last: 0 } } =
      variable.names.find((one) => one.name === lastOf(stem)) ?? {};
    const bit = range.first >= range.last ? Number(index) - range.last : range.last - Number(index);
    return bit >= 0 && bit < variable.size ? { variable, bit } : `${stem} has no bit ${index}`;
  }
  return variable.size === 1 ? { variable, bit: 0 } : `${name} has ${variable.size} bits: say which, as in ${name}[0]`;
}

function matching(name: string, variables: readonly DumpVariable[]): DumpVariable[] {
  return variables.filter(({ names }) =>
    names.some((one) => {
      const range = one.range && (one.range.first === one.range.last ? `[${one.range.first}]` : undefined);
      return [one.name, ...(range === undefined ? [] : [`${one.name}${range}`])].some(
        (own) => own === name || [...one.scopes, own].join(".") === name,
      );
    }),
  );
}

function pathOf({ names, code }: DumpVariable, name: string): string {
  const own = names.find((one) => one.name === name) ?? names[0];
  return own ? [...own.scopes, own.name].join(".") : code;
}

function lastOf(path: string): string {
  return path.slice(path.lastIndexOf(".") + 1);
}
