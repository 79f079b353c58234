import type { Store } from "./store.js";

/** With more unknown address bits than this, a read is unknown and a write is counted and not carried out. */
const MOST_UNKNOWN_BITS = 4;

/**
 * Reads and writes of memories where levels may be unknown, by the rules of the timed simulation: with few unknown address
 * bits all cells that it may be are considered. Writes can be taken back.
 */
export class CarefulMemory {
  /** Writes that might have gone anywhere, and were left out. */
  lostWrites = 0;
  private readonly store: Store;
  private readonly undo: (() => void)[] = [];

  constructor(store: Store) {
    this.store = store;
  }

  /** From here on writes can be taken back. */
  mark(): void {
    this.undo.length = 0;
  }

  /** Takes back all writes since the mark. */
  takeBack(): void {
    for (const act of this.undo.reverse()) act();
    this.undo.length = 0;
  }

  /** The word in bits 0 to 7, and in bits 8 to 15 which of it is known. */
  read(memory: number, address: number, addressKnown: number): number {
    const { bytes } = this.store;
    const { words, unknown, mask } = this.place(memory);
    let [ones, zeros] = [0, 0];
    const isFew = forEachCell(address, addressKnown, mask, (cell) => {
      const open = bytes[unknown + cell] ?? 0;
      ones |= (bytes[words + cell] ?? 0) | open;
      zeros |= ~(bytes[words + cell] ?? 0) | open;
    });
    if (!isFew) return 0;
    return (ones & 0xff) | ((~(ones & zeros) & 0xff) << 8);
  }

  /** Gives nothing of use; WebAssembly functions here all have a result. */
  write(
    memory: number,
    when: number,
    whenKnown: number,
    address: number,
    addressKnown: number,
    data: number,
    dataKnown: number,
  ): number {
    if (when === 0 && whenKnown === 1) return 0;
    const { bytes } = this.store;
    const { words, unknown, mask, wordMask } = this.place(memory);
    const open = ~dataKnown & wordMask;
    if (whenKnown === 1 && (addressKnown & mask) === mask) {
      this.put(words + (address & mask), data);
      this.put(unknown + (address & mask), open);
      return 0;
    }
    const isFew = forEachCell(address, addressKnown, mask, (cell) => {
      const differ = (bytes[words + cell] ?? 0) ^ data;
      this.put(unknown + cell, (bytes[unknown + cell] ?? 0) | open | (differ & wordMask));
    });
    if (isFew) return 0;
    this.lostWrites++;
    this.undo.push(() => this.lostWrites--);
    return 0;
  }

  private put(at: number, byte: number): void {
    const { bytes } = this.store;
    const old = bytes[at] ?? 0;
    bytes[at] = byte;
    this.undo.push(() => (bytes[at] = old));
  }

  private place(memory: number) {
    const { structure, layout } = this.store;
    const { addressBits = 0, wordBits = 0 } = structure.memories[memory] ?? {};
    return {
      words: layout.arrayAt[memory] ?? 0,
      unknown: layout.unknownAt[memory] ?? 0,
      mask: 2 ** addressBits - 1,
      wordMask: 2 ** wordBits - 1,
    };
  }
}

/** Visits every cell that the unknown bits allow; false, and none visited, where they are too many. */
function forEachCell(address: number, known: number, mask: number, visit: (cell: number) => void): boolean {
  const open = ~known & mask;
  let bits = 0;
  for (let rest = open; rest !== 0; rest &= rest - 1) bits++;
  if (bits > MOST_UNKNOWN_BITS) return false;
  let part = open;
  for (;;) {
    visit((address & known & mask) | part);
    if (part === 0) return true;
    part = (part - 1) & open;
  }
}
