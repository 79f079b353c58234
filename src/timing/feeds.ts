import { IntTable } from "./int-table.js";
import type { CellId } from "./model.js";
import { SequenceBook } from "./sequence-book.js";
import type { Situation } from "./situations.js";
import type { FedRegion } from "./step.js";

/** Number of what a component is fed in one tick; equal feeds have equal numbers. */
export type FeedId = number;
export const NO_FEED: FeedId = 0;

/** Something that was done in a tick, and the numbers of what each that looks sees of it. */
export type FeedSource = Pick<Situation, "feed" | "feedTo">;

/** Keeps each different feed once. */
export class Feeds {
  readonly #feeds: (readonly FedRegion[])[] = [];
  readonly #keys = new SequenceBook();
  readonly #joined = new IntTable();

  constructor() {
    this.#id([]);
  }

  feed(id: FeedId): readonly FedRegion[] {
    return this.#feeds[id] ?? [];
  }

  /** What component `to` sees of a situation: only the cells that it looks at. */
  seen(situation: FeedSource, to: number, cells: ReadonlySet<CellId>): FeedId {
    const known = situation.feedTo.get(to);
    if (known !== undefined) return known;
    const id = this.#id(situation.feed.filter(({ cell }) => cells.has(cell)));
    situation.feedTo.set(to, id);
    return id;
  }

  /** Two feeds in one order of time; at the same instant the first comes first. */
  join(a: FeedId, b: FeedId): FeedId {
    if (a === NO_FEED) return b;
    if (b === NO_FEED) return a;
    const known = this.#joined.get(a, b);
    if (known >= 0) return known;
    const left = this.feed(a);
    const right = this.feed(b);
    const merged: FedRegion[] = [];
    let l = 0;
    let r = 0;
    while (l < left.length || r < right.length) {
      const one = left[l];
      const other = right[r];
      if (one && (!other || one.time <= other.time)) {
        merged.push(one);
        l++;
      } else if (other) {
        merged.push(other);
        r++;
      }
    }
    const id = this.#id(merged);
    this.#joined.add(a, b, id);
    return id;
  }

  #id(feed: readonly FedRegion[]): FeedId {
    for (const { time, id } of feed) {
      this.#keys.putLong(time);
      this.#keys.put(id);
    }
    const id = this.#keys.number();
    if (id === this.#feeds.length) this.#feeds.push(feed);
    return id;
  }
}
