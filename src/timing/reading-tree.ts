import type { Looked } from "./aspects.js";

const NO_CHOICES: readonly number[] = [];

/** What was looked at and what it was, one after the other; a choice among `n` possibilities is written as a look at -n. */
export type Readings = readonly number[];

/** Where a tree branches: what is looked at next, by what it is. The first branch needs no map of its own. */
class Branch<Leaf> {
  readonly looked: Looked;
  #first: Node<Leaf> | undefined;
  #firstFound = -1;
  #more: Map<number, Node<Leaf>> | undefined;

  constructor(looked: Looked) {
    this.looked = looked;
  }

  get(found: number): Node<Leaf> | undefined {
    return found === this.#firstFound ? this.#first : this.#more?.get(found);
  }

  set(found: number, next: Node<Leaf>): void {
    if (this.#first === undefined || found === this.#firstFound) {
      this.#firstFound = found;
      this.#first = next;
    } else {
      this.#more ??= new Map();
      this.#more.set(found, next);
    }
  }

  *values(): Iterable<Node<Leaf>> {
    if (this.#first !== undefined) yield this.#first;
    yield* this.#more?.values() ?? [];
  }
}

/** Where a tree does not branch any more: the readings from `at` on that still lead to the leaf. */
interface Tail<Leaf> {
  readonly readings: Readings;
  readonly at: number;
  readonly leaf: Leaf;
}

type Node<Leaf> = Branch<Leaf> | Tail<Leaf>;

/**
 * What follows from what was looked at: the first look is always at the same, the next depends on what the first gave, and so
 * on. Looking up looks at no more than finding out does.
 */
export class ReadingTree<Leaf extends object> {
  #root: Node<Leaf> | undefined;

  /** What follows, if it is known; where a choice is still open after those taken, the number of its possibilities. */
  find(look: (looked: Looked) => number, choices: readonly number[] = NO_CHOICES): Leaf | number | undefined {
    let node = this.#root;
    let chosen = 0;
    while (node instanceof Branch) {
      if (node.looked >= 0) node = node.get(look(node.looked));
      else if (chosen === choices.length) return -node.looked;
      else node = node.get(choices[chosen++] ?? 0);
    }
    if (!node) return undefined;
    const { readings, leaf } = node;
    for (let { at } = node; at < readings.length; at += 2) {
      const looked = readings[at] ?? 0;
      if (looked < 0 && chosen === choices.length) return -looked;
      if ((looked < 0 ? (choices[chosen++] ?? 0) : look(looked)) !== readings[at + 1]) return undefined;
    }
    return leaf;
  }

  add(readings: Readings, leaf: Leaf): void {
    let above: Branch<Leaf> | undefined;
    let node = this.#root;
    let at = 0;
    while (node instanceof Branch) {
      above = node;
      node = node.get(readings[at + 1] ?? 0);
      at += 2;
    }
    const hang = (next: Node<Leaf>): void => {
      if (above) above.set(readings[at - 1] ?? 0, next);
      else this.#root = next;
    };
    // Branches as far as another leaf has the same readings, and one where they part.
    while (node && at < readings.length) {
      const branch: Branch<Leaf> = new Branch(readings[at] ?? 0);
      hang(branch);
      const found: number = node.readings[at + 1] ?? 0;
      const tail: Tail<Leaf> = { ...node, at: at + 2 };
      above = branch;
      at += 2;
      if (found === readings[at - 1]) node = tail;
      else {
        branch.set(found, tail);
        node = undefined;
      }
    }
    hang(node ?? { readings, at, leaf });
  }

  leaves(): Leaf[] {
    const all: Leaf[] = [];
    const collect = (node: Node<Leaf>): void => {
      if (node instanceof Branch) for (const next of node.values()) collect(next);
      else all.push(node.leaf);
    };
    if (this.#root) collect(this.#root);
    return all;
  }
}
