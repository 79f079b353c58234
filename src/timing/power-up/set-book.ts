/** Number of a set in a `SetBook`. */
export type SetId = number;

/** Keeps each different set of numbers once. */
export class SetBook {
  readonly #all: Float64Array[] = [];
  readonly #buckets = new Map<number, SetId[]>();
  readonly #unions = new Map<number, SetId>();
  readonly #rests = new Map<number, SetId>();
  readonly empty = this.id(new Float64Array(0));

  /** Of numbers in order, each once. */
  id(set: Float64Array): SetId {
    let hash = set.length;
    for (const value of set) hash = (Math.imul(hash, 31) + (value % 0x7fffffff)) | 0;
    const bucket = this.#buckets.get(hash) ?? [];
    const known = bucket.find((id) => isSame(this.set(id), set));
    if (known !== undefined) return known;
    const id = this.#all.push(set) - 1;
    bucket.push(id);
    this.#buckets.set(hash, bucket);
    return id;
  }

  set(id: SetId): Float64Array {
    const set = this.#all[id];
    if (!set) throw new RangeError(`no set ${id}`);
    return set;
  }

  /** What is in either. */
  union(a: SetId, b: SetId): SetId {
    if (a === b || b === this.empty) return a;
    if (a === this.empty) return b;
    return this.#found(this.#unions, a, b, () => {
      const both = new Float64Array(this.set(a).length + this.set(b).length);
      both.set(this.set(a));
      both.set(this.set(b), this.set(a).length);
      both.sort();
      return both.filter((value, index) => index === 0 || value !== both[index - 1]);
    });
  }

  /** What is in the first and not in the second. */
  without(a: SetId, b: SetId): SetId {
    if (a === this.empty || b === this.empty) return a;
    return this.#found(this.#rests, a, b, () => {
      const other = this.set(b);
      let at = 0;
      return this.set(a).filter((value) => {
        while (at < other.length && (other[at] as number) < value) at++;
        return other[at] !== value;
      });
    });
  }

  #found(known: Map<number, SetId>, a: SetId, b: SetId, make: () => Float64Array): SetId {
    const key = a * 16_777_216 + b;
    let id = known.get(key);
    if (id === undefined) {
      id = this.id(make());
      known.set(key, id);
    }
    return id;
  }
}

function isSame(a: Float64Array, b: Float64Array): boolean {
  return a.length === b.length && a.every((value, index) => value === b[index]);
}
