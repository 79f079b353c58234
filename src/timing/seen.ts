import type { FeedId, Feeds } from "./feeds.js";
import type { CellId, Model } from "./model.js";
import type { proveStep } from "./prove-step.js";
import type { StateBook, StateId } from "./state-book.js";
import type { CellTables } from "./step-cells.js";
import type { TupleBook } from "./tuple-book.js";
import type { WaveChanges } from "./wave-changes.js";
import type { WordId, Words } from "./words.js";
import type { Work } from "./work.js";

/** What is shared by all parts of one exploration. */
export interface Shared {
  readonly model: Model;
  readonly book: StateBook;
  readonly feeds: Feeds;
  readonly words: Words;
  readonly changes: WaveChanges;
  readonly tables: CellTables;
  readonly work: Work;
  /** Works a situation out. */
  readonly prove: typeof proveStep;
}

/** Where one part looks at some cells of another. */
export interface View {
  /** Index of the component that is looked at. */
  readonly from: number;
  /** Cells in the order in which their states are shown. */
  readonly cells: readonly CellId[];
  /** The states of these cells, by the number that the first half of a tick's word is. */
  readonly states: TupleBook;
  /** Names the feed to whoever looks, in `Situation.feedTo`. */
  readonly to: number;
  readonly seen: ReadonlySet<CellId>;
  /** By state of the part that is looked at; undefined where not known yet. */
  readonly ofState: (number | undefined)[];
}

/** Position of a cell in the words that a part sees. */
interface Place {
  readonly word: number;
  readonly position: number;
}

/** What a part sees of the parts before it. */
export class Seen {
  readonly #words: Words;
  readonly #views: readonly View[];
  /** By cell. */
  readonly #places: (Place | undefined)[] = [];

  constructor(words: Words, views: readonly View[]) {
    this.#words = words;
    this.#views = views;
    views.forEach(({ cells }, word) => {
      cells.forEach((cell, position) => {
        this.#places[cell] = { word, position };
      });
    });
  }

  /** What happens in the tick at the cells of one view. */
  feed(word: WordId): FeedId {
    return this.#words.ticks.second(word);
  }

  /** The state of a cell as the tick begins. */
  read(words: readonly WordId[], cell: CellId): StateId {
    const place = this.#places[cell];
    const view = place && this.#views[place.word];
    if (!view) throw new RangeError(`cell ${cell} is read but not seen`);
    return view.states.at(this.#words.ticks.first(words[place.word] ?? 0), place.position);
  }
}
