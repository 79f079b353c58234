import { type Bit, FALSE, Op, TRUE } from "./bit-graph.js";
import { GraphEmitter } from "./graph-emitter.js";
import type { Layout } from "./layout.js";
import { type Track, tracksOf } from "./recording.js";
import { PLANES, placeOf } from "./signal-store.js";
import type { Signal, Structure } from "./structure.js";
import { hangsOnlyOn, neededFor } from "./support.js";
import type { Sample, UnrolledRound } from "./unrolled.js";
import { FunctionCode } from "./wasm-writer.js";
import type { Field } from "./word-plan.js";

/** Bits of several words: each bit has a word and a place in it. */
export interface Packing {
  readonly words: number;
  readonly places: ReadonlyMap<number, { readonly word: number; readonly index: number }>;
}

/** What a round leaves on record: constants, and bits of its words. */
export interface RecordForm {
  /** 8, 16, or a multiple of 32. */
  readonly bits: number;
  readonly samples: readonly {
    readonly track: Track;
    readonly step: number;
    readonly place: number | "low" | "high";
  }[];
  /** Of each track: the place of its last sample; -1 where it stays as it is, -2 and -3 for low and high. */
  readonly lastPlaces: readonly number[];
}

/** Code of a round, and the form of what it reads and writes. */
export interface RoundCode {
  /**
   * `run(row, count, record)`: so many rounds from the row at that address on. What is recorded goes to the address `record`,
   * or nowhere. Gives the number of rounds done: fewer where one is in doubt, which is left undone.
   */
  readonly run: FunctionCode;
  readonly runRecording: FunctionCode;
  /** Nodes that stand in each row of the table, worked out beforehand. */
  readonly row: Packing;
  /** Storage bits by signal, as they are kept from call to call. */
  readonly state: Packing;
  readonly record: RecordForm;
}

/** Makes the code of a round. `stateAt` is where the state's words lie. */
export function compileRound(
  structure: Structure,
  layout: Layout,
  round: UnrolledRound,
  recorded: readonly Signal[],
  stateAt: number,
): RoundCode {
  return new RoundCompiler(structure, layout, round, recorded, stateAt).compile();
}

const [ROW, COUNT, RECORD] = [0, 1, 2];

class RoundCompiler {
  private readonly structure: Structure;
  private readonly layout: Layout;
  private readonly round: UnrolledRound;
  private readonly stateAt: number;
  private readonly state: Packing;
  private readonly row: Packing;
  private readonly record: RecordForm & { readonly words: readonly (readonly Bit[])[] };
  private readonly isSteady: Uint8Array;

  constructor(
    structure: Structure,
    layout: Layout,
    round: UnrolledRound,
    recorded: readonly Signal[],
    stateAt: number,
  ) {
    this.structure = structure;
    this.layout = layout;
    this.round = round;
    this.stateAt = stateAt;
    this.state = packState(structure, round);
    this.record = formRecord(round, recorded);
    const { graph, after } = round;
    const changing = new Set(
      [...after].flatMap(([signal, bit]) => (graph.input(signal * PLANES) === bit ? [] : [signal])),
    );
    const inStore = structure.signalCount * PLANES;
    this.isSteady = hangsOnlyOn(graph, (input) => input < inStore && !changing.has(Math.floor(input / PLANES)));
    this.row = packRow(round, this.vectors());
  }

  compile(): RoundCode {
    const { words: _, ...record } = this.record;
    return {
      run: this.function(false),
      runRecording: this.function(true),
      row: this.row,
      state: this.state,
      record,
    };
  }

  /** Words that are put together in each round, those whose form is given first. */
  private vectors(): readonly (readonly Bit[])[] {
    const { graph, after, arrays, begins } = this.round;
    const roots = [...after.values(), ...this.record.words.flat(), ...begins.flat(), this.round.doubt];
    const accesses = [...neededFor(graph, roots, arrays).accesses].flatMap((index) => graph.accesses[index] ?? []);
    return [
      ...accesses.flatMap((access) => (access.kind === "read" ? [access.address] : [access.address, access.data])),
      ...this.record.words,
      [...after.values()],
      begins.flat(),
      [this.round.doubt],
    ];
  }

  private function(isRecording: boolean): FunctionCode {
    const { round, state, row, layout, structure } = this;
    const { graph } = round;
    const code = new FunctionCode(3);
    const [before, body] = [code.apart(), code.apart()];
    const [done, tallies] = [code.local(), structure.ports.map(() => -1)];
    const stateLocals = Array.from({ length: state.words }, () => code.local());
    const rowLocals = Array.from({ length: row.words }, () => code.local());
    const counted = round.begins.map((bits) => bits.filter((bit) => bit !== FALSE));
    counted.forEach((bits, port) => (tallies[port] = bits.length > 0 ? code.local() : -1));

    const fieldOf = (bit: Bit): Field | undefined => {
      const placed = row.places.get(bit);
      if (placed) return { local: rowLocals[placed.word] ?? 0, index: placed.index };
      if (graph.op[bit] !== Op.input) return undefined;
      const kept = state.places.get(Math.floor((graph.a[bit] ?? 0) / PLANES));
      return kept && { local: stateLocals[kept.word] ?? 0, index: kept.index };
    };
    const next = Array.from({ length: state.words }, (): Bit[] => []);
    for (const [signal, { word, index }] of state.places)
      fill(next[word] ?? [], index, round.after.get(signal) ?? FALSE);
    const records = isRecording ? this.record.words : [];
    const roots = [...next.flat(), ...records.flat(), ...counted.flat(), round.doubt];
    const emitter = new GraphEmitter(
      graph,
      body,
      {
        // What is in no word stays as it is while rounds go on: inputs from outside.
        input: (into, index) => void into.constant(0).load(8, layout.signals + placeOf(index, structure.signalCount)),
        arrayAt: (memory) => layout.arrayAt[memory] ?? 0,
        field: fieldOf,
        before: { code: before, isSteady: (bit) => this.isSteady[bit] === 1 },
      },
      roots,
      round.arrays,
    );

    rowLocals.forEach(
      (local, word) =>
        void body
          .get(ROW)
          .load(32, 4 * word)
          .set(local),
    );
    const doubtReads = !hangsOnlyOn(graph, () => true)[round.doubt];
    if (round.doubt !== FALSE && !doubtReads) {
      emitter.push(round.doubt);
      body.branchIf(1);
    }
    for (const array of round.arrays) emitter.writeUpTo(array);
    next.forEach((bits) => emitter.pushWord(bits));
    records.forEach((bits, word) => {
      body.get(RECORD);
      emitter.pushWord(bits);
      if (word > 0 || this.record.bits > 16) body.store(32, 4 * word);
      else body.store(this.record.bits === 8 ? 8 : 16);
    });
    if (round.doubt !== FALSE && doubtReads) {
      emitter.push(round.doubt);
      body.begin("if");
      emitter.takeBack();
      // The new state is on the stack and goes with the branch.
      body.branch(2).do("end");
    }
    counted.forEach((bits, port) => {
      for (const bit of bits) {
        emitter.push(bit);
        body
          .get(tallies[port] ?? 0)
          .do("add")
          .set(tallies[port] ?? 0);
      }
    });
    for (const local of [...stateLocals].reverse()) body.set(local);
    body
      .get(ROW)
      .constant(4 * row.words)
      .do("add")
      .set(ROW);
    if (isRecording)
      body
        .get(RECORD)
        .constant(this.record.bits / 8)
        .do("add")
        .set(RECORD);
    body.get(done).constant(1).do("add").tee(done).get(COUNT).do("lessUnsigned").branchIf(0);

    stateLocals.forEach(
      (local, word) =>
        void code
          .constant(0)
          .load(32, this.stateAt + 4 * word)
          .set(local),
    );
    code.append(before);
    code.begin("block").begin("loop").append(body).do("end").do("end");
    stateLocals.forEach(
      (local, word) =>
        void code
          .constant(0)
          .get(local)
          .store(32, this.stateAt + 4 * word),
    );
    tallies.forEach((local, port) => {
      if (local < 0) return;
      code
        .constant(0)
        .constant(0)
        .load(32, layout.writeCounts + 4 * port)
        .get(local)
        .do("add");
      code.store(32, layout.writeCounts + 4 * port);
    });
    return code.get(done);
  }
}

/** Bits of one chip stand in one word, in the order of its behaviour. */
function packState({ bits }: Structure, { after }: UnrolledRound): Packing {
  const places = new Map<Signal, { word: number; index: number }>();
  const wordOf = new Map<unknown, { word: number; count: number }>();
  let words = 0;
  for (const { signal, chip } of bits) {
    if (!after.has(signal)) continue;
    let at = wordOf.get(chip);
    if (!at || at.count === 32) wordOf.set(chip, (at = { word: words++, count: 0 }));
    places.set(signal, { word: at.word, index: at.count++ });
  }
  return { words, places };
}

/** Nodes that are known beforehand and that others hang on, in the order in which words want them. */
function packRow({ graph, isKnownBefore }: UnrolledRound, vectors: readonly (readonly Bit[])[]): Packing {
  const found: Bit[][] = [];
  const seen = new Set<Bit>();
  const visit = (bit: Bit, list: Bit[]): void => {
    if (bit <= TRUE || seen.has(bit)) return;
    seen.add(bit);
    if (isKnownBefore[bit] === 1) {
      list.push(bit);
      return;
    }
    const [a, b, c] = [graph.a[bit] ?? 0, graph.b[bit] ?? 0, graph.c[bit] ?? 0];
    switch (graph.op[bit]) {
      case Op.input:
        return;
      case Op.not:
        return visit(a, list);
      case Op.bitOf: {
        const access = graph.accesses[a];
        if (access) graph.forEachOperand(access, (operand) => visit(operand, list));
        return;
      }
      case Op.choose:
        visit(a, list);
        visit(b, list);
        return visit(c, list);
      default:
        visit(a, list);
        return visit(b, list);
    }
  };
  for (const vector of vectors) {
    const list: Bit[] = [];
    for (const bit of vector) visit(bit, list);
    if (list.length > 0) found.push(list);
  }
  const places = new Map<Bit, { word: number; index: number }>();
  const free: number[] = [];
  for (const list of found) {
    for (let from = 0; from < list.length; from += 32) {
      const part = list.slice(from, from + 32);
      let word = free.findIndex((left) => left >= part.length);
      if (word < 0) word = free.push(32) - 1;
      part.forEach((bit, index) => places.set(bit, { word, index: 32 - (free[word] ?? 0) + index }));
      free[word] = (free[word] ?? 0) - part.length;
    }
  }
  return { words: Math.max(1, free.length), places };
}

/** Distinct bits of the samples, later ones lower: as bytes are sent, their highest bit first. */
function formRecord({ samples }: UnrolledRound, recorded: readonly Signal[]) {
  const distinct = [...new Set(samples.map(({ bit }) => bit).filter((bit) => bit > TRUE))];
  const count = Math.max(1, distinct.length);
  const bits = count <= 8 ? 8 : count <= 16 ? 16 : 32 * Math.ceil(count / 32);
  const placeOf = (bit: Bit) => count - 1 - distinct.indexOf(bit);
  const words = Array.from({ length: Math.ceil(count / 32) }, (): Bit[] => []);
  for (const bit of distinct) fill(words[placeOf(bit) >> 5] ?? [], placeOf(bit) & 31, bit);
  const lastPlaces = tracksOf(recorded).map((track) => {
    const last = samples.filter((sample) => sample.track === track).at(-1)?.bit;
    if (last === undefined) return -1;
    return last <= TRUE ? (last === TRUE ? -3 : -2) : placeOf(last);
  });
  return {
    bits,
    words,
    lastPlaces,
    samples: samples.map(({ track, step, bit }: Sample) => ({
      track,
      step,
      place: bit <= TRUE ? (bit === TRUE ? ("high" as const) : ("low" as const)) : placeOf(bit),
    })),
  };
}

/** Puts a bit in its place, low bits before it where there are none. */
function fill(word: Bit[], index: number, bit: Bit): void {
  while (word.length <= index) word.push(FALSE);
  word[index] = bit;
}
