const EMPTY = -1;
const FIRST_ROWS = 64;

/** Numbers each different row of `width` integers once, from 0 on. */
export class TupleBook {
  readonly width: number;
  #rows: Int32Array;
  #slots: Int32Array;
  #count = 0;

  constructor(width: number) {
    this.width = width;
    this.#rows = new Int32Array(FIRST_ROWS * width);
    this.#slots = new Int32Array(2 * FIRST_ROWS).fill(EMPTY);
  }

  get size(): number {
    return this.#count;
  }

  id(row: ArrayLike<number>): number {
    let slot = this.#hash(row, 0) & (this.#slots.length - 1);
    for (;;) {
      const id = this.#slots[slot] ?? EMPTY;
      if (id === EMPTY) return this.#add(row, slot);
      if (this.#isAt(id, row)) return id;
      slot = (slot + 1) & (this.#slots.length - 1);
    }
  }

  at(id: number, position: number): number {
    return this.#rows[id * this.width + position] ?? 0;
  }

  /** Writes the row of that number into `into`. */
  copy(id: number, into: Int32Array): void {
    const from = id * this.width;
    for (let i = 0; i < this.width; i++) into[i] = this.#rows[from + i] ?? 0;
  }

  #isAt(id: number, row: ArrayLike<number>): boolean {
    const from = id * this.width;
    for (let i = 0; i < this.width; i++) if (this.#rows[from + i] !== row[i]) return false;
    return true;
  }

  #hash(row: ArrayLike<number>, from: number): number {
    let hash = 0;
    for (let i = 0; i < this.width; i++) hash = Math.imul(hash ^ (row[from + i] ?? 0), 0x9e3779b1) ^ (hash >>> 15);
    return (hash ^ (hash >>> 13)) >>> 0;
  }

  #add(row: ArrayLike<number>, slot: number): number {
    const id = this.#count++;
    if ((id + 1) * this.width > this.#rows.length) {
      const rows = new Int32Array(2 * this.#rows.length + this.width);
      rows.set(this.#rows);
      this.#rows = rows;
    }
    for (let i = 0; i < this.width; i++) this.#rows[id * this.width + i] = row[i] ?? 0;
    this.#slots[slot] = id;
    if (2 * this.#count > this.#slots.length) this.#rehash();
    return id;
  }

  #rehash(): void {
    const slots = new Int32Array(2 * this.#slots.length).fill(EMPTY);
    for (let id = 0; id < this.#count; id++) {
      let slot = this.#hash(this.#rows, id * this.width) & (slots.length - 1);
      while (slots[slot] !== EMPTY) slot = (slot + 1) & (slots.length - 1);
      slots[slot] = id;
    }
    this.#slots = slots;
  }
}
