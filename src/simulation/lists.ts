/** Several lists end to end: list `i` is `items[start[i]]` up to but not including `items[start[i + 1]]`. */
export interface Lists {
  readonly start: Int32Array;
  readonly items: Int32Array;
}

/** Collects lists by index. */
export class ListBuilder {
  private readonly byIndex = new Map<number, number[]>();

  add(index: number, ...items: readonly number[]): void {
    const list = this.byIndex.get(index);
    if (list) list.push(...items);
    else this.byIndex.set(index, [...items]);
  }

  get(index: number): readonly number[] {
    return this.byIndex.get(index) ?? [];
  }

  lists(count: number): Lists {
    return toLists(Array.from({ length: count }, (_, index) => this.get(index)));
  }
}

/** Puts lists end to end. */
export function toLists(lists: readonly (readonly number[])[]): Lists {
  const start = new Int32Array(lists.length + 1);
  lists.forEach((list, index) => (start[index + 1] = (start[index] ?? 0) + list.length));
  return { start, items: Int32Array.from(lists.flat()) };
}
