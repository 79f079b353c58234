import type { FeedId, FeedSource, Feeds } from "./feeds.js";
import { NO_FEED } from "./feeds.js";
import type { CellId } from "./model.js";
import type { StateId } from "./state-book.js";
import { TupleBook } from "./tuple-book.js";
import { Pairs } from "./words.js";

/** Number of what is seen in one tick; what looks the same has the same number. */
export type SightId = number;

/**
 * What one component sees of another in a tick: the states of the cells that it looks at as the tick begins, and what happens
 * to them. Whatever else the other one is and does, what comes of the same sight is the same.
 */
export class Outlook {
  readonly #feeds: Feeds;
  readonly #to: number;
  readonly #seen: ReadonlySet<CellId>;
  readonly #cells: readonly CellId[];
  readonly #states: TupleBook;
  readonly #sights = new Pairs();
  readonly #known = new Map<number, SightId>();

  /** `to` is the component that looks, `cells` those that it looks at. */
  constructor(feeds: Feeds, to: number, cells: ReadonlySet<CellId>) {
    this.#feeds = feeds;
    this.#to = to;
    this.#seen = cells;
    this.#cells = [...cells];
    this.#states = new TupleBook(cells.size);
  }

  /** The sight of a tick that has been seen already; `tick` numbers all that the other component is and does in it. */
  known(tick: number): SightId | undefined {
    return this.#known.get(tick);
  }

  /** The sight of a tick that is new: where cells are as `read` says, and `source` happens. */
  see(tick: number, read: (cell: CellId) => StateId, source: FeedSource | undefined): SightId {
    const states = this.#states.id(this.#cells.map(read));
    const feed = source ? this.#feeds.seen(source, this.#to, this.#seen) : NO_FEED;
    const sight = this.#sights.id(states, feed);
    this.#known.set(tick, sight);
    return sight;
  }

  /** What happens to the cells. */
  feed(sight: SightId): FeedId {
    return this.#sights.second(sight);
  }
}
