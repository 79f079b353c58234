/** Things to be done at given times, in order of time; those of one time in the order in which they were asked for. */
export class Timers {
  private readonly heap: { readonly time: number; readonly order: number; readonly act: () => void }[] = [];
  private count = 0;

  add(time: number, act: () => void): void {
    const { heap } = this;
    let place = heap.push({ time, order: this.count++, act }) - 1;
    while (place > 0) {
      const parent = (place - 1) >> 1;
      if (!this.isBefore(place, parent)) break;
      this.swap(place, parent);
      place = parent;
    }
  }

  /** When the next one is due; never, if there is none. */
  get nextTime(): number {
    return this.heap[0]?.time ?? Infinity;
  }

  /** Takes the next one out and does it. */
  doNext(): void {
    const { heap } = this;
    const [first] = heap;
    const last = heap.pop();
    if (!first || !last) return;
    if (first !== last) {
      heap[0] = last;
      for (let place = 0; ;) {
        let least = place;
        for (const child of [2 * place + 1, 2 * place + 2]) {
          if (child < heap.length && this.isBefore(child, least)) least = child;
        }
        if (least === place) break;
        this.swap(place, least);
        place = least;
      }
    }
    first.act();
  }

  private isBefore(one: number, other: number): boolean {
    const [a, b] = [this.heap[one], this.heap[other]];
    return a !== undefined && b !== undefined && (a.time < b.time || (a.time === b.time && a.order < b.order));
  }

  private swap(one: number, other: number): void {
    const [a, b] = [this.heap[one], this.heap[other]];
    if (a && b) [this.heap[one], this.heap[other]] = [b, a];
  }
}
