import type { Circuit, NetId } from "../circuit/circuit.js";
import type { Fs } from "../quantity/index.js";
import type { Simulator } from "./simulator.js";
import { VALUE, VALUE_LETTERS } from "./value.js";

/** A list of nets to record: one, or the bits of a bus, least first. */
export interface DumpedNets {
  /** As the dump names it. */
  readonly name: string;
  readonly nets: readonly NetId[];
}

export interface DumpOptions {
  readonly nets: readonly DumpedNets[];
  /** Changes up to this time are left out; the values then stand at the beginning. */
  readonly from: Fs;
  /** Changes after this time are left out. */
  readonly to: Fs;
  /** For the reader, in the header; no `$end` inside. */
  readonly comment?: string;
}

/**
 * Writes a value change dump as IEEE 1364-2001, clause 18, has it (four-state), in femtoseconds: header, values at the
 * beginning, then changes in order of time. Text comes piece by piece: what has come is forgotten, so that a long dump does
 * not fill the memory.
 */
export class ChangeDump {
  private readonly circuit: Circuit;
  private readonly options: DumpOptions;
  private readonly letters: Uint8Array; // of nets: the value now
  private readonly variableOf = new Map<NetId, number[]>();
  private pieces: string[] = [];
  private time = -1;
  private changed = new Set<number>();
  private hasBegun = false;

  /** Begins a dump of a simulator. Throws RangeError when it has passed `from`, or when the span ends before it begins. */
  constructor(simulator: Simulator, options: DumpOptions) {
    if (options.to < options.from) throw new RangeError(`a dump cannot go from ${options.from} fs to ${options.to} fs`);
    if (simulator.now > options.from)
      throw new RangeError(`a dump from ${options.from} fs is asked for at ${simulator.now} fs`);
    this.circuit = simulator.tables.circuit;
    this.options = options;
    this.letters = new Uint8Array(this.circuit.nets.length);
    options.nets.forEach(({ nets }, variable) => {
      for (const net of nets) {
        const present = this.variableOf.get(net);
        if (present) present.push(variable);
        else this.variableOf.set(net, [variable]);
      }
    });
    this.pieces.push(this.header());
    for (const net of this.variableOf.keys()) {
      this.letters[net] = simulator.valueOf(net);
      simulator.observe(net, (time, word) => this.take(net, time, word & VALUE));
    }
  }

  /** The text since the last call. */
  read(): string {
    const text = this.pieces.join("");
    this.pieces = [];
    return text;
  }

  /** Writes what is still to be written, with the end of the span as the last time. */
  end(): void {
    this.begin();
    this.flush();
    if (this.time < this.options.to) this.pieces.push(`#${this.options.to}\n`);
  }

  private take(net: NetId, time: number, value: number): void {
    if (time > this.options.to) return;
    if (time <= this.options.from) {
      this.letters[net] = value;
      return;
    }
    this.begin();
    if (time !== this.time) {
      this.flush();
      this.time = time;
    }
    this.letters[net] = value;
    for (const variable of this.variableOf.get(net) ?? []) this.changed.add(variable);
  }

  private begin(): void {
    if (this.hasBegun) return;
    this.hasBegun = true;
    this.time = this.options.from;
    const values = this.options.nets.map((_, variable) => this.printed(variable));
    this.pieces.push(`#${this.time}\n$dumpvars\n${values.join("")}$end\n`);
  }

  /** Writes the changes of one moment, each variable once and with the value that it ends on. */
  private flush(): void {
    if (this.changed.size === 0) return;
    const values = [...this.changed].sort((a, b) => a - b).map((variable) => this.printed(variable));
    this.pieces.push(`#${this.time}\n${values.join("")}`);
    this.changed.clear();
  }

  private printed(variable: number): string {
    const nets = this.options.nets[variable]?.nets ?? [];
    const letters = nets.map((net) => VALUE_LETTERS[this.letters[net] ?? 0]);
    if (letters.length === 1) return `${letters[0]}${identifier(variable)}\n`;
    return `b${letters.reverse().join("")} ${identifier(variable)}\n`;
  }

  private header(): string {
    const { nets, comment } = this.options;
    const variables = nets.map(({ name, nets: bits }, variable) => {
      const range = bits.length > 1 ? `[${bits.length - 1}:0]` : "";
      return `$var wire ${bits.length} ${identifier(variable)} ${plainName(name)}${range} $end\n`;
    });
    const said = comment === undefined ? "" : `$comment ${comment.replaceAll("$", "")} $end\n`;
    const scope = plainName(this.circuit.title.replaceAll(/\s+/g, "_")) || "circuit";
    return [
      said,
      "$version dotwright $end\n",
      "$timescale 1 fs $end\n",
      `$scope module ${scope} $end\n`,
      ...variables,
      "$upscope $end\n",
      "$enddefinitions $end\n",
    ].join("");
  }
}

const FIRST_CODE = 33;
const CODES = 94;

/** A short code of the characters `!` to `~`. */
function identifier(variable: number): string {
  let code = "";
  for (let rest = variable; rest >= 0; rest = Math.floor(rest / CODES) - 1) {
    code += String.fromCharCode(FIRST_CODE + (rest % CODES));
  }
  return code;
}

/** A name without white space, as tokens are; `$` would read as a keyword where it stands first. */
function plainName(name: string): string {
  return name.replaceAll(/[^!-~]/g, "_").replace(/^\$/, "_");
}

/** Takes nets `VA0`, `VA1` ... together as one bus `VA`, the others each by itself, in the order of their first appearance. */
export function groupBuses(circuit: Circuit, nets: readonly NetId[]): readonly DumpedNets[] {
  const groups = new Map<string, { bit: number; net: NetId; name: string }[]>();
  for (const net of nets) {
    const name = circuit.nets[net]?.name ?? "";
    const [, stem = name, digits] = /^(.*[^\d])(\d+)$/.exec(name) ?? [];
    const key = digits === undefined ? name : `${stem}\0`;
    const group = groups.get(key) ?? [];
    groups.set(key, group);
    group.push({ bit: Number(digits ?? 0), net, name });
  }
  return [...groups].flatMap(([key, members]): DumpedNets[] => {
    const sorted = [...members].sort((a, b) => a.bit - b.bit);
    const isBus = key.endsWith("\0") && sorted.length > 1 && sorted.every(({ bit }, index) => bit === index);
    if (isBus) return [{ name: key.slice(0, -1), nets: sorted.map(({ net }) => net) }];
    return members.map(({ name, net }) => ({ name, nets: [net] }));
  });
}
