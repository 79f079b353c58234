/**
 * Writes WebAssembly modules in the binary format of the W3C's core specification, release 2.0, section 5: as much of it as
 * straight-line code with loops needs. Values are 32-bit integers; locals may also hold vectors of 128 bits.
 */

/** Opcodes (core specification, 5.4). */
const Code = {
  block: 0x02,
  loop: 0x03,
  if: 0x04,
  else: 0x05,
  end: 0x0b,
  br: 0x0c,
  brIf: 0x0d,
  return: 0x0f,
  call: 0x10,
  drop: 0x1a,
  select: 0x1b,
  countTrailingZeros: 0x68,
  localGet: 0x20,
  localSet: 0x21,
  localTee: 0x22,
  load32: 0x28,
  load8: 0x2d,
  load16: 0x2f,
  store32: 0x36,
  store8: 0x3a,
  store16: 0x3b,
  constant: 0x41,
  isZero: 0x45,
  equal: 0x46,
  unequal: 0x47,
  lessUnsigned: 0x49,
  greaterEqualUnsigned: 0x4f,
  add: 0x6a,
  subtract: 0x6b,
  multiply: 0x6c,
  and: 0x71,
  or: 0x72,
  xor: 0x73,
  shiftLeft: 0x74,
  shiftRight: 0x76,
} as const;

type Operation =
  | "isZero"
  | "equal"
  | "unequal"
  | "lessUnsigned"
  | "greaterEqualUnsigned"
  | "add"
  | "subtract"
  | "multiply"
  | "and"
  | "or"
  | "xor"
  | "shiftLeft"
  | "shiftRight"
  | "select"
  | "countTrailingZeros"
  | "drop"
  | "return"
  | "else"
  | "end";

/** Opcodes of vectors of 128 bits (core specification, 5.4.8), behind their prefix. */
const VECTOR_PREFIX = 0xfd;
const VectorCode = {
  load: 0x00,
  store: 0x0b,
  constant: 0x0c,
  splat: 0x11,
  word: 0x1b,
  not: 0x4d,
  and: 0x4e,
  /** The first without the second. */
  without: 0x4f,
  or: 0x50,
  xor: 0x51,
  /** The first where the third has ones, else the second. */
  choose: 0x52,
  isAny: 0x53,
} as const;

type VectorOperation = "splat" | "not" | "and" | "without" | "or" | "xor" | "choose" | "isAny";

const INTEGER = 0x7f;
const VECTOR = 0x7b;
const EMPTY = 0x40;

/** The code of one function. Parameters are its first locals. */
export class FunctionCode {
  readonly parameters: number;
  private readonly bytes: number[] = [];
  private readonly locals: number[];

  constructor(parameters: number, locals: number[] = []) {
    this.parameters = parameters;
    this.locals = locals;
  }

  /** Code of the same function that is written apart, to be put in its place with `append`. */
  apart(): FunctionCode {
    return new FunctionCode(this.parameters, this.locals);
  }

  append({ bytes }: FunctionCode): this {
    for (const byte of bytes) this.bytes.push(byte);
    return this;
  }

  /** Bytes so far. */
  get size(): number {
    return this.bytes.length;
  }

  /** A new local, zero at first. */
  local(): number {
    return this.parameters + this.locals.push(INTEGER) - 1;
  }

  /** A new local that holds a vector, all zeros at first. */
  vectorLocal(): number {
    return this.parameters + this.locals.push(VECTOR) - 1;
  }

  /** An operation on vectors. */
  vector(operation: VectorOperation): this {
    this.bytes.push(VECTOR_PREFIX);
    writeUnsigned(this.bytes, VectorCode[operation]);
    return this;
  }

  /** Puts a vector on the stack that is all zeros or all ones. */
  vectorConstant(bit: 0 | 1): this {
    this.bytes.push(VECTOR_PREFIX, VectorCode.constant);
    for (let byte = 0; byte < 16; byte++) this.bytes.push(bit ? 0xff : 0);
    return this;
  }

  /** Loads a vector from the address on the stack plus a constant. */
  loadVector(offset = 0): this {
    this.bytes.push(VECTOR_PREFIX, VectorCode.load, 4);
    writeUnsigned(this.bytes, offset);
    return this;
  }

  /** Stores a vector: address and vector are on the stack. */
  storeVector(offset = 0): this {
    this.bytes.push(VECTOR_PREFIX, VectorCode.store, 4);
    writeUnsigned(this.bytes, offset);
    return this;
  }

  /** One of the four words of the vector on the stack. */
  vectorWord(index: number): this {
    this.bytes.push(VECTOR_PREFIX, VectorCode.word, index);
    return this;
  }

  /** Puts a constant on the stack. */
  constant(value: number): this {
    this.bytes.push(Code.constant);
    writeSigned(this.bytes, value | 0);
    return this;
  }

  get(local: number): this {
    return this.indexed(Code.localGet, local);
  }

  set(local: number): this {
    return this.indexed(Code.localSet, local);
  }

  tee(local: number): this {
    return this.indexed(Code.localTee, local);
  }

  do(operation: Operation): this {
    this.bytes.push(Code[operation]);
    return this;
  }

  /** Loads so many bits from the address on the stack plus a constant. */
  load(bits: 8 | 16 | 32, offset = 0): this {
    return this.memory({ 8: Code.load8, 16: Code.load16, 32: Code.load32 }[bits], bits, offset);
  }

  /** Stores so many bits: address and value are on the stack. */
  store(bits: 8 | 16 | 32, offset = 0): this {
    return this.memory({ 8: Code.store8, 16: Code.store16, 32: Code.store32 }[bits], bits, offset);
  }

  call(target: number): this {
    return this.indexed(Code.call, target);
  }

  /** Begins a block that leaves nothing on the stack; `end` ends it. */
  begin(kind: "block" | "loop" | "if"): this {
    this.bytes.push(Code[kind], EMPTY);
    return this;
  }

  /** Leaves so many blocks, or goes back to the begin of a loop. */
  branch(depth: number): this {
    return this.indexed(Code.br, depth);
  }

  branchIf(depth: number): this {
    return this.indexed(Code.brIf, depth);
  }

  /** The function's body with its locals, as the code section holds it. */
  body(): number[] {
    const content: number[] = [];
    const runs: { count: number; readonly type: number }[] = [];
    for (const type of this.locals) {
      const last = runs.at(-1);
      if (last?.type === type) last.count++;
      else runs.push({ count: 1, type });
    }
    writeUnsigned(content, runs.length);
    for (const { count, type } of runs) {
      writeUnsigned(content, count);
      content.push(type);
    }
    for (const byte of this.bytes) content.push(byte);
    content.push(Code.end);
    return content;
  }

  private memory(code: number, bits: 8 | 16 | 32, offset: number): this {
    this.bytes.push(code, { 8: 0, 16: 1, 32: 2 }[bits]);
    writeUnsigned(this.bytes, offset);
    return this;
  }

  private indexed(code: number, index: number): this {
    this.bytes.push(code);
    writeUnsigned(this.bytes, index);
    return this;
  }
}

interface FunctionEntry {
  readonly code: FunctionCode;
  readonly name: string | undefined;
}

/** A module that imports one memory (`host.memory`) and maybe functions, and exports functions, each with one result. */
export class ModuleWriter {
  private readonly imports: { readonly name: string; readonly parameters: number }[] = [];
  private readonly functions: FunctionEntry[] = [];

  /** A function of the host's, by its name in `host`; before all functions of the module's own. Returns its index. */
  import(name: string, parameters: number): number {
    if (this.functions.length > 0) throw new RangeError("imports come before functions");
    return this.imports.push({ name, parameters }) - 1;
  }

  /** Adds a function with one result; exported if it has a name. Returns its index. */
  add(code: FunctionCode, name?: string): number {
    return this.imports.length + this.functions.push({ code, name }) - 1;
  }

  toBytes(): Uint8Array {
    const counts = [
      ...this.imports.map(({ parameters }) => parameters),
      ...this.functions.map(({ code }) => code.parameters),
    ];
    const types = [...new Set(counts)];
    const bytes: number[] = [0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0];
    section(bytes, 1, types, (out, parameters) => {
      out.push(0x60);
      writeUnsigned(out, parameters);
      for (let n = 0; n < parameters; n++) out.push(INTEGER);
      out.push(1, INTEGER);
    });
    const imports = [undefined, ...this.imports];
    section(bytes, 2, imports, (out, one) => {
      writeName(out, "host");
      writeName(out, one?.name ?? "memory");
      if (one) {
        out.push(0x00);
        writeUnsigned(out, types.indexOf(one.parameters));
      } else {
        out.push(0x02, 0x00, 0x01);
      }
    });
    section(bytes, 3, this.functions, (out, { code }) => writeUnsigned(out, types.indexOf(code.parameters)));
    const exported = this.functions.flatMap(({ name }, index) => (name === undefined ? [] : [{ name, index }]));
    section(bytes, 7, exported, (out, { name, index }) => {
      writeName(out, name);
      out.push(0x00);
      writeUnsigned(out, this.imports.length + index);
    });
    section(bytes, 10, this.functions, (out, { code }) => {
      const body = code.body();
      writeUnsigned(out, body.length);
      for (const byte of body) out.push(byte);
    });
    return Uint8Array.from(bytes);
  }
}

function section<T>(bytes: number[], id: number, items: readonly T[], write: (out: number[], item: T) => void): void {
  if (items.length === 0) return;
  const content: number[] = [];
  writeUnsigned(content, items.length);
  for (const item of items) write(content, item);
  bytes.push(id);
  writeUnsigned(bytes, content.length);
  for (const byte of content) bytes.push(byte);
}

function writeName(out: number[], name: string): void {
  writeUnsigned(out, name.length);
  for (let index = 0; index < name.length; index++) out.push(name.charCodeAt(index) & 0x7f);
}

/** LEB128. */
function writeUnsigned(out: number[], value: number): void {
  let rest = value >>> 0;
  do {
    const byte = rest & 0x7f;
    rest >>>= 7;
    out.push(rest === 0 ? byte : byte | 0x80);
  } while (rest !== 0);
}

function writeSigned(out: number[], value: number): void {
  let rest = value;
  for (;;) {
    const byte = rest & 0x7f;
    rest >>= 7;
    const isLast = (rest === 0 && (byte & 0x40) === 0) || (rest === -1 && (byte & 0x40) !== 0);
    out.push(isLast ? byte : byte | 0x80);
    if (isLast) return;
  }
}
