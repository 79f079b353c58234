import type { Period } from "./autonomous.js";
import { FALSE, TRUE } from "./bit-graph.js";
import { GraphEmitter } from "./graph-emitter.js";
import { PLANES } from "./signal-store.js";
import type { Signal } from "./structure.js";
import { hangsOnlyOn } from "./support.js";
import { FunctionCode, ModuleWriter } from "./wasm-writer.js";
import { functionOf, instantiate, newMemory } from "./web-assembly.js";

/** The levels of some storage bits after every edge of the oscillator, until they come back to where they were. */
export interface Orbit {
  readonly bits: readonly Signal[];
  /** 32-bit words that hold all bits, the first bit lowest. */
  readonly words: number;
  /** Oscillator periods until the levels come back. */
  readonly periods: number;
  /** Periods from the start until they are on the orbit; 0 where the start itself comes back. */
  readonly ahead: number;
  /** `words` words after each rise and each fall, from the first period on the orbit on. */
  readonly levels: Uint32Array;
}

/** Longest orbit that is followed, in oscillator periods: 2 s of pictures at 640 x 480. */
const MOST_PERIODS = 1 << 20;
/** Periods that are traced in one go: few at first, since code that is called again is compiled better. */
const FIRST_CHUNK = 1 << 8;
const LAST_CHUNK = 1 << 14;
/** How much further on the next place lies that is looked out for. */
const FURTHER = 16;

/**
 * Runs bits that run on their own from these levels, after a fall of the oscillator, until they come back. Undefined where that
 * takes too long, or where anything in it is in doubt.
 */
export function findOrbit(
  period: Period,
  bits: readonly Signal[],
  start: (bit: Signal) => 0 | 1,
  mostPeriods = MOST_PERIODS,
): Orbit | undefined {
  const words = Math.ceil(bits.length / 32);
  if (words === 0) return undefined;
  const edgeBytes = 4 * words;
  const memory = newMemory(edgeBytes * (2 * mostPeriods + 2));
  const exported = instantiate(traceModule(period, bits, words), { host: { memory } });
  const trace = functionOf(exported, "trace");

  const all = new Uint32Array(memory.buffer);
  // The levels before the first period stand at the beginning, as if after a fall.
  bits.forEach((bit, index) => {
    if (start(bit) === 1) all[index >> 5] = ((all[index >> 5] ?? 0) | (1 << (index & 31))) >>> 0;
  });
  // After period n the levels are at word (2 n + 2) * words; period 0 is before the start.
  const at = (n: number) => 2 * n * words;
  const isSame = (n: number, m: number) => {
    for (let word = 0; word < words; word++) if (all[at(n) + word] !== all[at(m) + word]) return false;
    return true;
  };
  // The start may not come back itself, only what it leads to: places further and further on are looked out for.
  const references = [0];
  let done = 0;
  for (let chunk = FIRST_CHUNK; done < mostPeriods; chunk = Math.min(2 * chunk, LAST_CHUNK)) {
    const count = Math.min(chunk, mostPeriods - done);
    if (trace(edgeBytes * (2 * done + 1), count) !== 0) return undefined;
    for (let n = done + 1; n <= done + count; n++) {
      const back = references.find((reference) => isSame(n, reference));
      if (back === undefined) {
        if (n === FURTHER * (references.at(-1) ?? 0) || n === 1) references.push(n);
        continue;
      }
      const periods = n - back;
      let ahead = 0;
      while (!isSame(ahead, ahead + periods)) ahead++;
      // What was traced after period `ahead`; what is missing to a whole round stands before it.
      const from = at(ahead) + words;
      const levels = new Uint32Array(2 * periods * words);
      levels.set(all.subarray(from, from + levels.length));
      return { bits, words, periods, ahead, levels };
    }
    done += count;
  }
  return undefined;
}

/**
 * `trace(address, count)`: from the levels in the words before the address, that many periods; the levels after each edge go
 * to the words from there on. Gives 1 where anything is in doubt.
 */
function traceModule({ graph, rise, fall }: Period, bits: readonly Signal[], words: number): Uint8Array {
  const own = new Set(bits);
  const isOwn = hangsOnlyOn(graph, (input) => own.has(Math.floor(input / PLANES)));
  const after = [rise, fall].map(({ rest }) => bits.map((bit) => rest.levels[bit]?.value ?? FALSE));
  const doubts = [rise, fall]
    .flatMap((result) => result.doubts.map(({ when }) => when))
    .filter((bit) => isOwn[bit] === 1);
  const any = graph.any(doubts);
  const code = new FunctionCode(2);
  const [address, count] = [0, 1];
  const locals = new Map(bits.map((bit) => [bit, code.local()]));
  const emitter = new GraphEmitter(
    graph,
    code,
    {
      input: (into, index) => into.get(locals.get(Math.floor(index / PLANES)) ?? 0),
      arrayAt: () => 0,
    },
    [...after.flat(), ...(after[1] ?? []), any],
    [],
  );
  bits.forEach((bit, index) => {
    code
      .get(address)
      .constant(4 * words)
      .do("subtract");
    code
      .load(32, 4 * (index >> 5))
      .constant(index & 31)
      .do("shiftRight")
      .constant(1)
      .do("and");
    code.set(locals.get(bit) ?? 0);
  });
  code.begin("block").begin("loop");
  code.get(count).do("isZero").branchIf(1);
  after.forEach((levels, edge) => {
    for (let word = 0; word < words; word++) {
      code.get(address);
      emitter.pushWord(levels.slice(32 * word, 32 * word + 32));
      code.store(32, 4 * (edge * words + word));
    }
  });
  if (any === TRUE) code.constant(1).do("return");
  else if (any !== FALSE) {
    emitter.push(any);
    code.begin("if").constant(1).do("return").do("end");
  }
  for (const level of after[1] ?? []) emitter.push(level);
  for (const bit of [...bits].reverse()) code.set(locals.get(bit) ?? 0);
  code
    .get(address)
    .constant(8 * words)
    .do("add")
    .set(address);
  code.get(count).constant(1).do("subtract").set(count);
  code.branch(0).do("end").do("end").constant(0);
  const writer = new ModuleWriter();
  writer.add(code, "trace");
  return writer.toBytes();
}
