const EMPTY = -1;

/** Numbers each different sequence of 32-bit integers once, from 0 on. Write one with `put`, then ask for its number. */
export class SequenceBook {
  #data = new Int32Array(4096);
  /** Where the sequences begin and, last, where the one begins that is being written. */
  readonly #starts: number[] = [0];
  #end = 0;
  #slots = new Int32Array(1024).fill(EMPTY);
  #hashes = new Int32Array(512);

  get size(): number {
    return this.#starts.length - 1;
  }

  put(value: number): void {
    if (this.#end === this.#data.length) {
      const data = new Int32Array(2 * this.#data.length);
      data.set(this.#data);
      this.#data = data;
    }
    this.#data[this.#end++] = value;
  }

  /** Puts a time in femtoseconds, or any whole number that may need more than 32 bits. */
  putLong(value: number): void {
    const high = Math.floor(value / 2 ** 26);
    this.put(high);
    this.put(value - high * 2 ** 26);
  }

  /** The number of the sequence written since the last time; it is the `size` before where it is new. */
  number(): number {
    const start = this.#starts[this.size] ?? 0;
    const hash = this.#hash(start);
    const mask = this.#slots.length - 1;
    let slot = hash & mask;
    for (let id = this.#slots[slot] ?? EMPTY; id !== EMPTY; id = this.#slots[slot] ?? EMPTY) {
      if (this.#hashes[id] === hash && this.#isSame(id, start)) {
        this.#end = start;
        return id;
      }
      slot = (slot + 1) & mask;
    }
    const id = this.size;
    if (id === this.#hashes.length) this.#grow();
    this.#hashes[id] = hash;
    this.#starts.push(this.#end);
    this.#insert(id, hash);
    return id;
  }

  #isSame(id: number, start: number): boolean {
    const from = this.#starts[id] ?? 0;
    const length = this.#end - start;
    if ((this.#starts[id + 1] ?? 0) - from !== length) return false;
    for (let i = 0; i < length; i++) if (this.#data[from + i] !== this.#data[start + i]) return false;
    return true;
  }

  #hash(start: number): number {
    let hash = 0;
    for (let at = start; at < this.#end; at++) {
      hash = Math.imul(hash ^ (this.#data[at] ?? 0), 0x9e3779b1);
      hash ^= hash >>> 15;
    }
    return hash;
  }

  #insert(id: number, hash: number): void {
    const mask = this.#slots.length - 1;
    let slot = hash & mask;
    while (this.#slots[slot] !== EMPTY) slot = (slot + 1) & mask;
    this.#slots[slot] = id;
  }

  #grow(): void {
    const hashes = new Int32Array(2 * this.#hashes.length);
    hashes.set(this.#hashes);
    this.#slots = new Int32Array(2 * this.#slots.length).fill(EMPTY);
    for (let id = 0; id < this.#hashes.length; id++) this.#insert(id, this.#hashes[id] ?? 0);
    this.#hashes = hashes;
  }
}
