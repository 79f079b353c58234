import { type ArrayState, type Bit, type BitGraph, type Read, type Write, Op, TRUE } from "./bit-graph.js";
import { neededFor } from "./support.js";
import type { FunctionCode } from "./wasm-writer.js";
import { type Field, planWord } from "./word-plan.js";

/** Where the code finds things. */
export interface EmitterHost {
  /** Puts the value of an input of the graph on the stack, 0 or 1. */
  readonly input: (code: FunctionCode, index: number) => void;
  /** The local, and the bit in it, where a bit of the graph stands already. */
  readonly field?: (bit: Bit) => Field | undefined;
  /** Bits that stay as they are while the code goes round, and code before it that is gone through once. */
  readonly before?: { readonly code: FunctionCode; readonly isSteady: (bit: Bit) => boolean };
  /** Address of a memory's word 0. */
  readonly arrayAt: (memory: number) => number;
  /** Functions that read and write where unknown levels are followed; absent in code that knows all levels. */
  readonly careful?: { readonly read: number; readonly write: number };
}

/**
 * Turns a graph into code: each bit once, where it is first needed; bits that are used again are kept in locals. Writes to
 * memories are carried out in order, each after all reads of what was there before it, and can be taken back.
 */
export class GraphEmitter {
  readonly code: FunctionCode;
  private readonly graph: BitGraph;
  private readonly host: EmitterHost;
  private readonly uses: Uint32Array;
  private readonly kept: Int32Array; // of nodes: local, or -1
  private readonly words = new Map<number, number>(); // of reads: local
  private readonly steadyWords = new Map<string, number>(); // by their bits: local
  private readonly steady: GraphEmitter | undefined;
  private readonly wanted: ReadonlySet<number>; // reads and writes
  private readonly written = new Map<ArrayState, { readonly address: number; readonly old: number } | undefined>();

  /** `roots` are all bits that will be asked for, as often as they will be; `arrays` the states that memories end in. */
  constructor(
    graph: BitGraph,
    code: FunctionCode,
    host: EmitterHost,
    roots: readonly Bit[],
    arrays: readonly ArrayState[],
  ) {
    this.graph = graph;
    this.code = code;
    this.host = host;
    this.kept = new Int32Array(graph.size).fill(-1);
    ({ uses: this.uses, accesses: this.wanted } = neededFor(graph, roots, arrays));
    const { before, ...rest } = host;
    if (before) this.steady = new GraphEmitter(graph, before.code, rest, [...roots, ...roots], arrays);
  }

  /** Puts a bit on the stack. */
  push(bit: Bit): void {
    const { code, graph, kept } = this;
    const local = kept[bit] ?? -1;
    if (local >= 0) {
      code.get(local);
      return;
    }
    if (bit > TRUE && this.pushSteady([bit])) return;
    const field = this.host.field?.(bit);
    if (field) {
      code.get(field.local);
      if (field.index > 0) code.constant(field.index).do("shiftRight");
      code.constant(1).do("and");
    } else {
      this.compute(bit);
    }
    const op = graph.op[bit];
    if (op === Op.constant || (this.uses[bit] ?? 0) < 2) return;
    kept[bit] = code.local();
    code.tee(kept[bit] ?? 0);
  }

  /** Puts a word on the stack, bit 0 first. */
  pushWord(bits: readonly Bit[]): void {
    if (this.pushSteady(bits)) return;
    const { code, graph } = this;
    const terms = planWord(graph, bits, (bit) => this.fieldOf(bit));
    terms.forEach((term, index) => {
      const mask = term.mask;
      switch (term.kind) {
        case "constant":
          code.constant(mask);
          break;
        case "field":
          code.get(term.local);
          if (term.shift !== 0) code.constant(Math.abs(term.shift)).do(term.shift > 0 ? "shiftLeft" : "shiftRight");
          code.constant(mask).do("and");
          break;
        case "bit":
          this.push(term.bit);
          if (term.place > 0) code.constant(term.place).do("shiftLeft");
          break;
        case "not":
          this.pushWord(term.of);
          code.constant(mask).do("xor");
          break;
        case "and":
          this.pushWord(term.of);
          this.pushSpread(term.by);
          code.do("and");
          break;
        case "or":
        case "xor":
          this.pushWord(term.of);
          this.pushSpread(term.by);
          code.constant(mask).do("and").do(term.kind);
          break;
        case "choose":
          // otherwise ^ ((then ^ otherwise) & by)
          this.pushWord(term.then);
          this.pushWord(term.otherwise);
          code.do("xor");
          this.pushSpread(term.by);
          code.do("and");
          this.pushWord(term.otherwise);
          code.do("xor");
          break;
      }
      if (index > 0) code.do("or");
    });
    if (terms.length === 0) code.constant(0);
  }

  /** Puts a bit on the stack in all 32 places. */
  private pushSpread(bit: Bit): void {
    this.code.constant(0);
    this.push(bit);
    this.code.do("subtract");
  }

  /** A word that stays as it is is put together once. */
  private pushSteady(bits: readonly Bit[]): boolean {
    const { before } = this.host;
    if (!before || !this.steady || !bits.every((bit) => bit <= TRUE || before.isSteady(bit))) return false;
    if (bits.every((bit) => bit <= TRUE)) return false;
    const key = bits.join(" ");
    let local = this.steadyWords.get(key);
    if (local === undefined) {
      local = this.code.local();
      this.steadyWords.set(key, local);
      this.steady.pushWord(bits);
      before.code.set(local);
    }
    this.code.get(local);
    return true;
  }

  private fieldOf(bit: Bit): Field | undefined {
    const given = this.host.field?.(bit);
    if (given || this.graph.op[bit] !== Op.bitOf || this.host.careful) return given;
    const index = this.graph.a[bit] ?? 0;
    const read = this.graph.accesses[index];
    return read?.kind === "read" ? { local: this.readWord(index, read), index: this.graph.b[bit] ?? 0 } : undefined;
  }

  /** Carries out every write up to this state of a memory. */
  writeUpTo(state: ArrayState): void {
    if (state === 0 || this.written.has(state)) return;
    const { graph, code, host } = this;
    const write = graph.accesses[graph.arrayWrites[state] ?? -1];
    if (write?.kind !== "write") return;
    this.writeUpTo(write.before);
    for (const index of this.wanted) {
      const read = graph.accesses[index];
      if (read?.kind === "read" && read.memory === write.memory && read.state === write.before)
        this.readWord(index, read);
    }
    if (host.careful) {
      this.written.set(state, undefined);
      this.writeCarefully(write, host.careful.write);
      return;
    }
    const place = { address: code.local(), old: code.local() };
    this.written.set(state, place);
    // All that hangs on the word is worked out beforehand, since code inside the condition may be passed over.
    const [address, data] = [code.local(), code.local()];
    this.pushWord(write.address);
    code.constant(host.arrayAt(write.memory)).do("add").set(address);
    this.pushWord(write.data);
    code.set(data);
    this.push(write.when);
    code.begin("if");
    code.get(address).tee(place.address).load(8).set(place.old);
    code.get(address).get(data).store(8);
    code.do("end");
  }

  /** Takes all writes back, the last one first. Not where unknown levels are followed. */
  takeBack(): void {
    const { code } = this;
    for (const place of [...this.written.values()].reverse()) {
      if (!place) continue;
      code.get(place.address).begin("if");
      code.get(place.address).get(place.old).store(8);
      code.do("end");
    }
  }

  private compute(bit: Bit): void {
    const { graph, code } = this;
    const [a, b, c] = [graph.a[bit] ?? 0, graph.b[bit] ?? 0, graph.c[bit] ?? 0];
    switch (graph.op[bit]) {
      case Op.constant:
        code.constant(a);
        return;
      case Op.input:
        this.host.input(code, a);
        return;
      case Op.not:
        this.push(a);
        code.do("isZero");
        return;
      case Op.and:
        this.push(a);
        this.push(b);
        code.do("and");
        return;
      case Op.or:
        this.push(a);
        this.push(b);
        code.do("or");
        return;
      case Op.xor:
        this.push(a);
        this.push(b);
        code.do("xor");
        return;
      case Op.choose:
        this.push(b);
        this.push(c);
        this.push(a);
        code.do("select");
        return;
      case Op.bitOf: {
        const read = graph.accesses[a];
        if (read?.kind === "read") code.get(this.readWord(a, read));
        if (b > 0) code.constant(b).do("shiftRight");
        code.constant(1).do("and");
        return;
      }
      default:
        throw new RangeError(`no such operation: ${graph.op[bit]}`);
    }
  }

  private readWord(index: number, read: Read): number {
    const known = this.words.get(index);
    if (known !== undefined) return known;
    this.writeUpTo(read.state);
    const { code, host } = this;
    const local = code.local();
    if (host.careful) {
      code.constant(read.memory);
      this.pushWord(read.address);
      this.pushWord(read.addressKnown);
      code.call(host.careful.read);
    } else {
      this.pushWord(read.address);
      code.load(8, host.arrayAt(read.memory));
    }
    code.set(local);
    this.words.set(index, local);
    return local;
  }

  private writeCarefully(write: Write, target: number): void {
    const { code } = this;
    code.constant(write.memory);
    this.push(write.when);
    this.push(write.whenKnown);
    this.pushWord(write.address);
    this.pushWord(write.addressKnown);
    this.pushWord(write.data);
    this.pushWord(write.dataKnown);
    code.call(target).do("drop");
  }
}
