const NO_CHOICES: readonly number[] = [];

/** Where a tree of readings branches: what was read next, by what it gave. The first branch needs no map of its own. */
class Branch<Leaf> {
  readonly cell: number;
  #firstState = -1;
  #first: Branch<Leaf> | Leaf | undefined;
  #more: Map<number, Branch<Leaf> | Leaf> | undefined;

  constructor(cell: number) {
    this.cell = cell;
  }

  get(state: number): Branch<Leaf> | Leaf | undefined {
    return state === this.#firstState ? this.#first : this.#more?.get(state);
  }

  set(state: number, next: Branch<Leaf> | Leaf): void {
    if (this.#first === undefined) {
      this.#firstState = state;
      this.#first = next;
    } else {
      this.#more ??= new Map();
      this.#more.set(state, next);
    }
  }

  *values(): Iterable<Branch<Leaf> | Leaf> {
    if (this.#first !== undefined) yield this.#first;
    yield* this.#more?.values() ?? [];
  }
}

/** What was read, in order; a choice among `n` possibilities is written as a reading of cell -n. */
export type Readings = readonly (readonly [cell: number, state: number])[];

/**
 * What follows from what was read: the first reading is always of the same cell, the next depends on what the first gave,
 * and so on. Looking up reads no more than finding out does.
 */
export class ReadingTree<Leaf extends object> {
  #root: Branch<Leaf> | Leaf | undefined;

  /** What follows, if it is known; where a choice is still open after those taken, the number of its possibilities. */
  find(read: (cell: number) => number, choices: readonly number[] = NO_CHOICES): Leaf | number | undefined {
    let node = this.#root;
    let chosen = 0;
    while (node instanceof Branch) {
      if (node.cell >= 0) node = node.get(read(node.cell));
      else if (chosen === choices.length) return -node.cell;
      else node = node.get(choices[chosen++] ?? 0);
    }
    return node;
  }

  add(readings: Readings, leaf: Leaf): void {
    const nodeFor = (index: number): Branch<Leaf> | Leaf => {
      const reading = readings[index];
      return reading ? new Branch<Leaf>(reading[0]) : leaf;
    };
    let node = (this.#root ??= nodeFor(0));
    for (const [index, [, state]] of readings.entries()) {
      if (!(node instanceof Branch)) return;
      let next = node.get(state);
      if (next === undefined) {
        next = nodeFor(index + 1);
        node.set(state, next);
      }
      node = next;
    }
  }

  leaves(): Leaf[] {
    const all: Leaf[] = [];
    const collect = (node: Branch<Leaf> | Leaf | undefined): void => {
      if (node instanceof Branch) for (const next of node.values()) collect(next);
      else if (node) all.push(node);
    };
    collect(this.#root);
    return all;
  }
}
