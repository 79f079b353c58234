import { type ArrayState, type Bit, BitGraph, TRUE, FALSE, type Write } from "./bit-graph.js";
import type { CarefulMemory } from "./careful-memory.js";

/** A graph of constants: memories are read and written at once. */
export class PresentGraph extends BitGraph {
  private readonly memory: CarefulMemory;
  private readonly words: number[] = [];
  private writes = 0;

  constructor(memory: CarefulMemory) {
    super();
    this.memory = memory;
  }

  override read(
    memory: number,
    _state: ArrayState,
    address: readonly Bit[],
    addressKnown: readonly Bit[] = [],
  ): number {
    return this.words.push(this.memory.read(memory, wordOf(address), wordOf(addressKnown))) - 1;
  }

  override bitOf(word: number, bit: number): Bit {
    return ((this.words[word] ?? 0) >> bit) & 1 ? TRUE : FALSE;
  }

  override write({ memory, when, whenKnown, address, addressKnown, data, dataKnown }: Omit<Write, "kind">): ArrayState {
    const [addresses, known] = [wordOf(address), wordOf(addressKnown)];
    this.memory.write(memory, when, whenKnown, addresses, known, wordOf(data), wordOf(dataKnown));
    return ++this.writes;
  }
}

function wordOf(bits: readonly Bit[]): number {
  return bits.reduce((word, bit, index) => word | (bit << index), 0);
}
