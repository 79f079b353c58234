import { type ArrayState, type Bit, type BitGraph, type Read, type Write, Op, TRUE } from "./bit-graph.js";
import type { FunctionCode } from "./wasm-writer.js";

/** Where the code finds things. */
export interface EmitterHost {
  /** Puts the value of an input of the graph on the stack, 0 or 1. */
  readonly input: (code: FunctionCode, index: number) => void;
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
    this.uses = new Uint32Array(graph.size);
    this.kept = new Int32Array(graph.size).fill(-1);
    this.wanted = this.count(roots, arrays);
  }

  /** Puts a bit on the stack. */
  push(bit: Bit): void {
    const { code, graph, kept } = this;
    const local = kept[bit] ?? -1;
    if (local >= 0) {
      code.get(local);
      return;
    }
    this.compute(bit);
    const op = graph.op[bit];
    if (op === Op.constant || (this.uses[bit] ?? 0) < 2) return;
    kept[bit] = code.local();
    code.tee(kept[bit] ?? 0);
  }

  /** Puts a word on the stack, bit 0 first. */
  pushWord(bits: readonly Bit[]): void {
    const { code } = this;
    const constant = bits.reduce((sum, bit, index) => (bit === TRUE ? sum | (1 << index) : sum), 0);
    let isFirst = true;
    if (constant !== 0 || bits.every((bit) => bit <= TRUE)) {
      code.constant(constant);
      isFirst = false;
    }
    bits.forEach((bit, index) => {
      if (bit <= TRUE) return;
      this.push(bit);
      if (index > 0) code.constant(index).do("shiftLeft");
      if (!isFirst) code.do("or");
      isFirst = false;
    });
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

  /** Counts uses of every bit, and finds the reads and writes that are needed. */
  private count(roots: readonly Bit[], arrays: readonly ArrayState[]): ReadonlySet<number> {
    const { graph, uses } = this;
    const wanted = new Set<number>();
    const open: Bit[] = [];
    const use = (bit: Bit) => {
      uses[bit] = (uses[bit] ?? 0) + 1;
      if (uses[bit] === 1) open.push(bit);
    };
    const want = (index: number) => {
      const access = graph.accesses[index];
      if (!access || wanted.has(index)) return;
      wanted.add(index);
      graph.forEachOperand(access, use);
      const state = access.kind === "read" ? access.state : access.before;
      if (state > 0) want(graph.arrayWrites[state] ?? -1);
    };
    for (const state of arrays) if (state > 0) want(graph.arrayWrites[state] ?? -1);
    roots.forEach(use);
    for (let bit = open.pop(); bit !== undefined; bit = open.pop()) {
      const [a, b, c] = [graph.a[bit] ?? 0, graph.b[bit] ?? 0, graph.c[bit] ?? 0];
      switch (graph.op[bit]) {
        case Op.not:
          use(a);
          break;
        case Op.and:
        case Op.or:
        case Op.xor:
          use(a);
          use(b);
          break;
        case Op.choose:
          use(a);
          use(b);
          use(c);
          break;
        case Op.bitOf:
          want(a);
          break;
        default:
          break;
      }
    }
    return wanted;
  }
}
