const EMPTY = -1;
const FIRST_SLOTS = 256;

/** A map from pairs of integers from 0 on to an integer from 0 on, without an object for each. */
export class IntTable {
  /** Two keys and a value for each slot; the value is EMPTY where nothing is kept. */
  #slots = new Int32Array(3 * FIRST_SLOTS).fill(EMPTY);
  #count = 0;

  /** The value of a pair, -1 where there is none. */
  get(first: number, second: number): number {
    const slots = this.#slots;
    const mask = slots.length / 3 - 1;
    for (let slot = hash(first, second) & mask; ; slot = (slot + 1) & mask) {
      const value = slots[3 * slot + 2] ?? EMPTY;
      if (value === EMPTY || (slots[3 * slot] === first && slots[3 * slot + 1] === second)) return value;
    }
  }

  /** Keeps the value of a pair that has none yet. */
  add(first: number, second: number, value: number): void {
    if (2 * ++this.#count > this.#slots.length / 3) this.#grow();
    put(this.#slots, first, second, value);
  }

  #grow(): void {
    const old = this.#slots;
    this.#slots = new Int32Array(4 * old.length).fill(EMPTY);
    for (let at = 0; at < old.length; at += 3) {
      const value = old[at + 2] ?? EMPTY;
      if (value !== EMPTY) put(this.#slots, old[at] ?? 0, old[at + 1] ?? 0, value);
    }
  }
}

function put(slots: Int32Array, first: number, second: number, value: number): void {
  const mask = slots.length / 3 - 1;
  let slot = hash(first, second) & mask;
  while (slots[3 * slot + 2] !== EMPTY) slot = (slot + 1) & mask;
  slots[3 * slot] = first;
  slots[3 * slot + 1] = second;
  slots[3 * slot + 2] = value;
}

function hash(first: number, second: number): number {
  const mixed = Math.imul(first ^ Math.imul(second, 0x85ebca6b), 0x9e3779b1);
  return (mixed ^ (mixed >>> 15)) >>> 0;
}
