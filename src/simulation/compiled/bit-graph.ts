/** Index of a node in a `BitGraph`. */
export type Bit = number;

export const FALSE: Bit = 0;
export const TRUE: Bit = 1;

/** What a node is; `a`, `b`, `c` are its operands. */
export const Op = {
  constant: 0,
  /** `a` is the number of the input. */
  input: 1,
  not: 2,
  and: 3,
  or: 4,
  xor: 5,
  /** `a` ? `b` : `c`. */
  choose: 6,
  /** Bit `b` of the word that access `a` gives. */
  bitOf: 7,
} as const;

/** The array of a memory as it stands after so many writes; 0 for what it held at first. */
export type ArrayState = number;

/** A word read from a memory. */
export interface Read {
  readonly kind: "read";
  readonly memory: number;
  readonly state: ArrayState;
  /** Bit 0 first. */
  readonly address: readonly Bit[];
  /** Bits of the address that are known, where unknown values are followed; empty elsewhere. */
  readonly addressKnown: readonly Bit[];
}

/** A word written, if `when`. */
export interface Write {
  readonly kind: "write";
  readonly memory: number;
  /** The array before. */
  readonly before: ArrayState;
  readonly when: Bit;
  readonly address: readonly Bit[];
  readonly data: readonly Bit[];
  /** Where unknown values are followed: whether `when`, the address and the data are known. Empty elsewhere. */
  readonly whenKnown: Bit;
  readonly addressKnown: readonly Bit[];
  readonly dataKnown: readonly Bit[];
}

/**
 * Boolean functions as a graph in which equal nodes are one node and what can be told beforehand is told: constants go
 * through, a thing and its opposite cancel, and so on. Reads and writes of memories hang in it as accesses.
 */
export class BitGraph {
  readonly op: number[] = [];
  readonly a: number[] = [];
  readonly b: number[] = [];
  readonly c: number[] = [];
  /** Reads and writes; a word that is read is named by its place here. */
  readonly accesses: (Read | Write)[] = [];
  /** By array state (from 1): the write that made it. */
  readonly arrayWrites: number[] = [-1];

  private readonly pairs = new Map<number, Bit>();
  private readonly triples = new Map<string, Bit>();
  private readonly reads = new Map<string, number>();

  constructor() {
    this.push(Op.constant, 0, 0, 0);
    this.push(Op.constant, 1, 0, 0);
  }

  get size(): number {
    return this.op.length;
  }

  constant(value: number | boolean): Bit {
    return value ? TRUE : FALSE;
  }

  isConstant(x: Bit): boolean {
    return x <= TRUE;
  }

  input(index: number): Bit {
    return this.pair(Op.input, index, 0);
  }

  not(x: Bit): Bit {
    if (x <= TRUE) return 1 - x;
    if (this.op[x] === Op.not) return this.a[x] as Bit;
    return this.pair(Op.not, x, 0);
  }

  and(x: Bit, y: Bit): Bit {
    if (x === y) return x;
    if (x === FALSE || y === FALSE) return FALSE;
    if (x === TRUE) return y;
    if (y === TRUE) return x;
    if (this.areOpposite(x, y)) return FALSE;
    if (this.absorbs(Op.and, x, y)) return x;
    if (this.absorbs(Op.and, y, x)) return y;
    return x < y ? this.pair(Op.and, x, y) : this.pair(Op.and, y, x);
  }

  or(x: Bit, y: Bit): Bit {
    if (x === y) return x;
    if (x === TRUE || y === TRUE) return TRUE;
    if (x === FALSE) return y;
    if (y === FALSE) return x;
    if (this.areOpposite(x, y)) return TRUE;
    if (this.absorbs(Op.or, x, y)) return x;
    if (this.absorbs(Op.or, y, x)) return y;
    return x < y ? this.pair(Op.or, x, y) : this.pair(Op.or, y, x);
  }

  xor(x: Bit, y: Bit): Bit {
    if (x === y) return FALSE;
    if (x <= TRUE) return x === TRUE ? this.not(y) : y;
    if (y <= TRUE) return y === TRUE ? this.not(x) : x;
    const turned = Number(this.op[x] === Op.not) ^ Number(this.op[y] === Op.not);
    const [p, q] = [this.plain(x), this.plain(y)];
    if (p === q) return turned ? TRUE : FALSE;
    const made = p < q ? this.pair(Op.xor, p, q) : this.pair(Op.xor, q, p);
    return turned ? this.not(made) : made;
  }

  choose(when: Bit, then: Bit, otherwise: Bit): Bit {
    if (when <= TRUE) return when === TRUE ? then : otherwise;
    if (then === otherwise) return then;
    if (this.op[when] === Op.not) return this.choose(this.a[when] as Bit, otherwise, then);
    if (then === TRUE || then === when) return this.or(when, otherwise);
    if (then === FALSE || this.areOpposite(then, when)) return this.and(this.not(when), otherwise);
    if (otherwise === FALSE || otherwise === when) return this.and(when, then);
    if (otherwise === TRUE || this.areOpposite(otherwise, when)) return this.or(this.not(when), then);
    if (this.areOpposite(then, otherwise)) return this.xor(when, otherwise);
    // A choice by the same bit inside is already made.
    if (this.op[then] === Op.choose && this.a[then] === when) return this.choose(when, this.b[then] as Bit, otherwise);
    if (this.op[otherwise] === Op.choose && this.a[otherwise] === when) {
      return this.choose(when, then, this.c[otherwise] as Bit);
    }
    return this.triple(Op.choose, when, then, otherwise);
  }

  any(bits: Iterable<Bit>): Bit {
    let result = FALSE;
    for (const bit of bits) result = this.or(result, bit);
    return result;
  }

  /** A word from a memory; its bits are had with `bitOf`. */
  read(memory: number, state: ArrayState, address: readonly Bit[], addressKnown: readonly Bit[] = []): number {
    const key = `${memory} ${state} ${address.join(" ")} ${addressKnown.join(" ")}`;
    const known = this.reads.get(key);
    if (known !== undefined) return known;
    const made = this.accesses.push({ kind: "read", memory, state, address, addressKnown }) - 1;
    this.reads.set(key, made);
    return made;
  }

  bitOf(word: number, bit: number): Bit {
    return this.pair(Op.bitOf, word, bit);
  }

  /** The array after a write. A write that never happens, or was just made, changes nothing. */
  write(wanted: Omit<Write, "kind">): ArrayState {
    if (wanted.when === FALSE && wanted.whenKnown === TRUE) return wanted.before;
    const last = this.accesses[this.arrayWrites[wanted.before] ?? -1];
    if (last?.kind === "write" && isSameWrite(last, wanted)) return wanted.before;
    const access = this.accesses.push({ kind: "write", ...wanted }) - 1;
    return this.arrayWrites.push(access) - 1;
  }

  /** Calls `visit` with every bit that an access hangs on. */
  forEachOperand(access: Read | Write, visit: (bit: Bit) => void): void {
    access.address.forEach(visit);
    access.addressKnown.forEach(visit);
    if (access.kind === "read") return;
    visit(access.when);
    visit(access.whenKnown);
    access.data.forEach(visit);
    access.dataKnown.forEach(visit);
  }

  private plain(x: Bit): Bit {
    return this.op[x] === Op.not ? (this.a[x] as Bit) : x;
  }

  private areOpposite(x: Bit, y: Bit): boolean {
    return (this.op[x] === Op.not && this.a[x] === y) || (this.op[y] === Op.not && this.a[y] === x);
  }

  /** `x and (x or z)`, `x or (x and z)`, and where `x` is already what `x op y` says: `(y op z) op y`. */
  private absorbs(op: number, x: Bit, y: Bit): boolean {
    const dual = op === Op.and ? Op.or : Op.and;
    if (this.op[y] === dual && (this.a[y] === x || this.b[y] === x)) return true;
    return this.op[x] === op && (this.a[x] === y || this.b[x] === y);
  }

  private pair(op: number, a: number, b: number): Bit {
    const key = (a * PAIR + b) * 8 + op;
    const known = this.pairs.get(key);
    if (known !== undefined) return known;
    const made = this.push(op, a, b, 0);
    this.pairs.set(key, made);
    return made;
  }

  private triple(op: number, a: number, b: number, c: number): Bit {
    const key = `${a} ${b} ${c}`;
    const known = this.triples.get(key);
    if (known !== undefined) return known;
    const made = this.push(op, a, b, c);
    this.triples.set(key, made);
    return made;
  }

  private push(op: number, a: number, b: number, c: number): Bit {
    this.op.push(op);
    this.a.push(a);
    this.b.push(b);
    return this.c.push(c) - 1;
  }
}

/** More nodes than any graph has; a pair of them and an operation fit a number exactly. */
const PAIR = 2 ** 24;

function isSameWrite(one: Write, other: Omit<Write, "kind">): boolean {
  const same = (a: readonly Bit[], b: readonly Bit[]) => a.length === b.length && a.every((bit, i) => bit === b[i]);
  return (
    one.memory === other.memory &&
    one.when === other.when &&
    one.whenKnown === other.whenKnown &&
    same(one.address, other.address) &&
    same(one.data, other.data) &&
    same(one.addressKnown, other.addressKnown) &&
    same(one.dataKnown, other.dataKnown)
  );
}
