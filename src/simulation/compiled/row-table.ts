import type { Columns } from "./columns.js";
import { GraphEmitter } from "./graph-emitter.js";
import type { Packing } from "./round-code.js";
import type { Sample, UnrolledRound } from "./unrolled.js";
import { FALSE } from "./bit-graph.js";
import type { Signal } from "./structure.js";
import { FunctionCode, ModuleWriter } from "./wasm-writer.js";
import { functionOf, instantiate, newMemory } from "./web-assembly.js";

/** The rows of an orbit: for each round `row.words` words with all that its code wants to know beforehand. */
export function buildRows({ graph, columnOf }: UnrolledRound, columns: Columns, row: Packing): Uint32Array {
  const { orbit, edges, rounds } = columns;
  const { words, levels } = orbit;
  // The levels before the first edge of the orbit are those after its last.
  const tableAt = 4 * (levels.length + words);
  const memory = newMemory(tableAt + 4 * rounds * row.words);
  const all = new Uint32Array(memory.buffer);
  all.set(levels.subarray(levels.length - words), 0);
  all.set(levels, words);

  const placeOf = new Map(orbit.bits.map((bit, index) => [bit, index]));
  const inWords = Array.from({ length: row.words }, (): number[] => []);
  for (const [bit, { word, index }] of row.places) {
    const list = inWords[word] ?? [];
    while (list.length <= index) list.push(FALSE);
    list[index] = bit;
  }
  const code = new FunctionCode(3);
  const [from, to, count] = [0, 1, 2];
  const emitter = new GraphEmitter(
    graph,
    code,
    {
      input: (into, input) => {
        const column = columnOf(input);
        if (!column) throw new RangeError("a row hangs on what is not known beforehand");
        const place = placeOf.get(column.bit) ?? 0;
        into.get(from).load(32, 4 * ((column.step + 1) * words + (place >> 5)));
        into
          .constant(place & 31)
          .do("shiftRight")
          .constant(1)
          .do("and");
      },
      arrayAt: () => 0,
    },
    inWords.flat(),
    [],
  );
  code.begin("loop");
  inWords.forEach((bits, word) => {
    code.get(to);
    emitter.pushWord(bits);
    code.store(32, 4 * word);
  });
  code
    .get(from)
    .constant(4 * edges * words)
    .do("add")
    .set(from);
  code
    .get(to)
    .constant(4 * row.words)
    .do("add")
    .set(to);
  code.get(count).constant(1).do("subtract").tee(count).branchIf(0);
  code.do("end").constant(0);
  const writer = new ModuleWriter();
  writer.add(code, "build");
  functionOf(instantiate(writer.toBytes(), { host: { memory } }), "build")(0, tableAt, rounds);
  return all.slice(tableAt / 4);
}

/**
 * Tells of a recorded net in which rounds it changes, as the rows have it; undefined where it hangs on anything that is not
 * known beforehand.
 */
export function changesInRows(
  { samples, isKnownBefore }: UnrolledRound,
  row: Packing,
  rows: Uint32Array,
  recorded: readonly Signal[],
): (net: Signal) => readonly number[] | undefined {
  const found = new Map<Signal, readonly number[] | undefined>();
  return (net) => {
    if (found.has(net)) return found.get(net);
    const own = samples.filter(({ track }) => track === net || track === ~net);
    const isKnown = recorded.includes(net) && own.every(({ bit }) => isKnownBefore[bit] === 1);
    const changes = isKnown ? roundsOf(own) : undefined;
    found.set(net, changes);
    return changes;
  };

  function roundsOf(own: readonly Sample[]): readonly number[] {
    const level = (round: number, bit: number): number => {
      const place = row.places.get(bit);
      return place ? ((rows[round * row.words + place.word] ?? 0) >>> place.index) & 1 : bit;
    };
    const count = rows.length / row.words;
    const levels = (round: number) => own.map(({ bit }) => level(round, bit)).join("");
    const changes: number[] = [];
    let last = levels(count - 1);
    for (let round = 0; round < count; round++) {
      const now = levels(round);
      // A round whose levels differ among each other changes in its midst.
      const isSteady = now === last && isOfOneKind(now, own);
      if (!isSteady) changes.push(round);
      last = now;
    }
    return changes;
  }
}

/** Whether all samples of each track show the same level. */
function isOfOneKind(levels: string, samples: readonly Sample[]): boolean {
  const first = new Map<number, string | undefined>();
  return samples.every(({ track }, index) => {
    if (!first.has(track)) first.set(track, levels[index]);
    return first.get(track) === levels[index];
  });
}
