import { type ArrayState, type Bit, type BitGraph, Op } from "./bit-graph.js";

/** What a bit hangs on: inputs of the graph, and whether on anything read from a memory. */
export interface Support {
  readonly inputs: ReadonlySet<number>;
  readonly reads: boolean;
}

/** Finds what bits of one graph hang on. */
export class Supports {
  private readonly graph: BitGraph;

  constructor(graph: BitGraph) {
    this.graph = graph;
  }

  of(bits: readonly Bit[]): Support {
    const inputs = new Set<number>();
    let reads = false;
    const seen = new Set<Bit>();
    const open = [...bits];
    for (let bit = open.pop(); bit !== undefined; bit = open.pop()) {
      if (seen.has(bit)) continue;
      seen.add(bit);
      const [a, b, c] = [this.graph.a[bit] ?? 0, this.graph.b[bit] ?? 0, this.graph.c[bit] ?? 0];
      switch (this.graph.op[bit]) {
        case Op.constant:
          break;
        case Op.input:
          inputs.add(a);
          break;
        case Op.not:
          open.push(a);
          break;
        case Op.bitOf: {
          reads = true;
          const access = this.graph.accesses[a];
          if (access) this.graph.forEachOperand(access, (operand) => open.push(operand));
          break;
        }
        case Op.choose:
          open.push(a, b, c);
          break;
        default:
          open.push(a, b);
      }
    }
    return { inputs, reads };
  }
}

/**
 * Of every node of a graph whether it hangs on nothing but inputs of one kind (and constants). Nodes stand behind all that
 * they hang on, so one pass tells.
 */
export function hangsOnlyOn(graph: BitGraph, isOfKind: (input: number) => boolean): Uint8Array {
  const only = new Uint8Array(graph.size);
  const at = (bit: number | undefined) => only[bit ?? 0] === 1;
  for (let bit = 0; bit < graph.size; bit++) {
    const [a, b, c] = [graph.a[bit], graph.b[bit], graph.c[bit]];
    let is: boolean;
    switch (graph.op[bit]) {
      case Op.constant:
        is = true;
        break;
      case Op.input:
        is = isOfKind(a ?? 0);
        break;
      case Op.not:
        is = at(a);
        break;
      case Op.bitOf:
        is = false;
        break;
      case Op.choose:
        is = at(a) && at(b) && at(c);
        break;
      default:
        is = at(a) && at(b);
    }
    only[bit] = is ? 1 : 0;
  }
  return only;
}

/**
 * Of every node whether it hangs on any input of one kind, be it by the address of a word that it reads; what was written to
 * that word before does not count.
 */
export function hangsOn(graph: BitGraph, isOfKind: (input: number) => boolean): Uint8Array {
  const on = new Uint8Array(graph.size);
  for (let bit = 0; bit < graph.size; bit++) {
    const [a, b, c] = [graph.a[bit] ?? 0, graph.b[bit] ?? 0, graph.c[bit] ?? 0];
    let is = false;
    switch (graph.op[bit]) {
      case Op.constant:
        break;
      case Op.input:
        is = isOfKind(a);
        break;
      case Op.not:
        is = on[a] === 1;
        break;
      case Op.bitOf: {
        const access = graph.accesses[a];
        if (access) is = [...access.address, ...access.addressKnown].some((operand) => on[operand] === 1);
        break;
      }
      case Op.choose:
        is = on[a] === 1 || on[b] === 1 || on[c] === 1;
        break;
      default:
        is = on[a] === 1 || on[b] === 1;
    }
    on[bit] = is ? 1 : 0;
  }
  return on;
}

/** Everything that is needed to work out bits, and states of memories: how often each node is used, and which accesses are. */
export function neededFor(graph: BitGraph, roots: readonly Bit[], arrays: readonly ArrayState[]) {
  const uses = new Uint32Array(graph.size);
  const accesses = new Set<number>();
  const open: Bit[] = [];
  const use = (bit: Bit) => {
    uses[bit] = (uses[bit] ?? 0) + 1;
    if (uses[bit] === 1) open.push(bit);
  };
  const want = (index: number): void => {
    const access = graph.accesses[index];
    if (!access || accesses.has(index)) return;
    accesses.add(index);
    graph.forEachOperand(access, use);
    const state = access.kind === "read" ? access.state : access.before;
    if (state > 0) want(graph.arrayWrites[state] ?? -1);
  };
  for (const state of arrays) if (state > 0) want(graph.arrayWrites[state] ?? -1);
  roots.forEach(use);
  for (let bit = open.pop(); bit !== undefined; bit = open.pop()) {
    const [a, b, c] = [graph.a[bit] ?? 0, graph.b[bit] ?? 0, graph.c[bit] ?? 0];
    switch (graph.op[bit]) {
      case Op.constant:
      case Op.input:
        break;
      case Op.not:
        use(a);
        break;
      case Op.bitOf:
        want(a);
        break;
      case Op.choose:
        use(a);
        use(b);
        use(c);
        break;
      default:
        use(a);
        use(b);
    }
  }
  return { uses, accesses };
}
