/**
 * Events in order of time; those of one time in the order in which they were put in.
 *
 * A wheel of slots, each 2^16 fs (66 ps) wide, holds the next 268 ns: as a rule one or no event a slot, so both putting in and
 * taking out cost the same however many wait. A bit for each slot says whether it holds any. What is further ahead (slow
 * oscillators, things from outside) waits in a heap until the wheel comes near.
 *
 * Nothing is allocated for an event: it is an index into arrays that double when they are full. An index is good until the
 * event is given back with `free`.
 */
export class EventQueue {
  /** Time of each event in femtoseconds. */
  time: Float64Array;
  /** Whatever the owner wants to know when its time has come. */
  target: Int32Array;
  word: Int32Array;
  /** For the owner to chain events with. */
  previous: Int32Array;

  private chain: Int32Array; // next event of the slot, or of the free ones
  private order: Float64Array; // put in as the how-manieth; kept for the far ones only
  private firstFree = 0;

  private readonly head = new Int32Array(SLOTS).fill(NONE);
  private readonly tail = new Int32Array(SLOTS).fill(NONE);
  private readonly occupied = new Int32Array(SLOTS / 32);
  private near = 0; // events in the wheel
  private slot = 0; // the slot that has its turn
  private slotTime = 0; // when it begins, in femtoseconds

  private far: Int32Array; // binary heap of event indices
  private farCount = 0;
  private count = 0;

  constructor(capacity = 1024) {
    this.time = new Float64Array(capacity);
    this.target = new Int32Array(capacity);
    this.word = new Int32Array(capacity);
    this.previous = new Int32Array(capacity);
    this.chain = new Int32Array(capacity);
    this.order = new Float64Array(capacity);
    this.far = new Int32Array(capacity);
    this.linkFree(0);
  }

  /** Number of events that wait, dead ones included. */
  get waiting(): number {
    return this.near + this.farCount;
  }

  /** Puts an event in. `time` must not lie before the last event taken nor before the last `until`. Returns its index. */
  put(time: number, target: number, word: number): number {
    if (this.firstFree === NONE) this.grow();
    const event = this.firstFree;
    this.firstFree = this.chain[event] as number;
    this.time[event] = time;
    this.target[event] = target;
    this.word[event] = word;
    const ahead = (time - this.slotTime) * PER_SLOT;
    if (ahead < SLOTS) this.putNear(event, time, (this.slot + ahead) & (SLOTS - 1));
    else this.putFar(event);
    return event;
  }

  /** Takes the next event out if its time is not after `until`; -1 if it is, or if none waits. */
  take(until: number): number {
    if (this.near === 0) {
      if (this.farCount === 0) return NONE;
      const next = this.time[this.far[0] as number] as number;
      if (next > until) return NONE;
      this.slotTime = Math.floor(next * PER_SLOT) / PER_SLOT;
      this.fetchFar();
    }
    const slot = this.nextOccupied();
    const event = this.head[slot] as number;
    if ((this.time[event] as number) > until) return NONE;
    if (slot !== this.slot) {
      this.slotTime += ((slot - this.slot) & (SLOTS - 1)) / PER_SLOT;
      this.slot = slot;
      if (this.farCount > 0) this.fetchFar();
    }
    const next = this.chain[event] as number;
    this.head[slot] = next;
    if (next === NONE) {
      this.tail[slot] = NONE;
      this.occupied[slot >> 5] = (this.occupied[slot >> 5] as number) & ~(1 << (slot & 31));
    }
    this.near--;
    return event;
  }

  /** Gives back an event that was taken out. */
  free(event: number): void {
    this.chain[event] = this.firstFree;
    this.firstFree = event;
  }

  /** All events that wait, in the order in which they would be taken; dead ones included. */
  *inOrder(): Generator<number> {
    for (let ahead = 0; ahead < SLOTS && this.near > 0; ahead++) {
      let event = this.head[(this.slot + ahead) & (SLOTS - 1)] as number;
      for (; event !== NONE; event = this.chain[event] as number) yield event;
    }
    // What is far is further than all that is near.
    yield* [...this.far.subarray(0, this.farCount)].sort((a, b) => (this.comesBefore(a, b) ? -1 : 1));
  }

  /** Takes everything out; what is put in from now on comes no sooner than `now`. */
  clear(now: number): void {
    this.head.fill(NONE);
    this.tail.fill(NONE);
    this.occupied.fill(0);
    [this.near, this.farCount, this.count, this.slot] = [0, 0, 0, 0];
    this.slotTime = Math.floor(now * PER_SLOT) / PER_SLOT;
    this.linkFree(0);
  }

  private putNear(event: number, time: number, slot: number): void {
    this.near++;
    const last = this.tail[slot] as number;
    if (last === NONE) {
      this.chain[event] = NONE;
      this.head[slot] = event;
      this.tail[slot] = event;
      this.occupied[slot >> 5] = (this.occupied[slot >> 5] as number) | (1 << (slot & 31));
      return;
    }
    if ((this.time[last] as number) <= time) {
      this.chain[event] = NONE;
      this.chain[last] = event;
      this.tail[slot] = event;
      return;
    }
    let before = NONE;
    let after = this.head[slot] as number;
    while ((this.time[after] as number) <= time) {
      before = after;
      after = this.chain[after] as number;
    }
    this.chain[event] = after;
    if (before === NONE) this.head[slot] = event;
    else this.chain[before] = event;
  }

  /** The first slot from the present one on, round the wheel, that holds an event. There must be one. */
  private nextOccupied(): number {
    let group = this.slot >> 5;
    let bits = (this.occupied[group] as number) & (-1 << (this.slot & 31));
    while (bits === 0) {
      group = (group + 1) & (SLOTS / 32 - 1);
      bits = this.occupied[group] as number;
    }
    return (group << 5) + 31 - Math.clz32(bits & -bits);
  }

  private putFar(event: number): void {
    this.order[event] = this.count++;
    let hole = this.farCount++;
    while (hole > 0) {
      const parent = (hole - 1) >> 1;
      const above = this.far[parent] as number;
      if (!this.comesBefore(event, above)) break;
      this.far[hole] = above;
      hole = parent;
    }
    this.far[hole] = event;
  }

  /** Moves what has come within the wheel's reach from the heap into the wheel. */
  private fetchFar(): void {
    while (this.farCount > 0) {
      const event = this.far[0] as number;
      const time = this.time[event] as number;
      const ahead = (time - this.slotTime) * PER_SLOT;
      if (ahead >= SLOTS) return;
      this.removeFirstFar();
      this.putNear(event, time, (this.slot + ahead) & (SLOTS - 1));
    }
  }

  private removeFirstFar(): void {
    const moved = this.far[--this.farCount] as number;
    let hole = 0;
    for (;;) {
      let child = 2 * hole + 1;
      if (child >= this.farCount) break;
      if (child + 1 < this.farCount && this.comesBefore(this.far[child + 1] as number, this.far[child] as number))
        child++;
      const below = this.far[child] as number;
      if (!this.comesBefore(below, moved)) break;
      this.far[hole] = below;
      hole = child;
    }
    this.far[hole] = moved;
  }

  private comesBefore(a: number, b: number): boolean {
    const [timeA, timeB] = [this.time[a] as number, this.time[b] as number];
    return timeA !== timeB ? timeA < timeB : (this.order[a] as number) < (this.order[b] as number);
  }

  private grow(): void {
    const old = this.time.length;
    const doubled = <A extends Int32Array | Float64Array>(array: A, bigger: A): A => {
      bigger.set(array);
      return bigger;
    };
    this.time = doubled(this.time, new Float64Array(2 * old));
    this.target = doubled(this.target, new Int32Array(2 * old));
    this.word = doubled(this.word, new Int32Array(2 * old));
    this.previous = doubled(this.previous, new Int32Array(2 * old));
    this.chain = doubled(this.chain, new Int32Array(2 * old));
    this.order = doubled(this.order, new Float64Array(2 * old));
    this.far = doubled(this.far, new Int32Array(2 * old));
    this.linkFree(old);
  }

  private linkFree(from: number): void {
    for (let event = from; event < this.chain.length; event++) this.chain[event] = event + 1;
    this.chain[this.chain.length - 1] = NONE;
    this.firstFree = from;
  }
}

const NONE = -1;
const SLOTS = 4096;
/** Slots in a femtosecond: a power of two, so that products are exact. */
const PER_SLOT = 2 ** -16;
