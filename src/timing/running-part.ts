import { type Looked, aspectOf, cellOf } from "./aspects.js";
import type { Component } from "./components.js";
import { ComponentStates, type ComponentStateId } from "./component-states.js";
import { type FeedId, NO_FEED } from "./feeds.js";
import type { CellId } from "./model.js";
import { Readers } from "./reactions.js";
import { Seen, type Shared, type View } from "./seen.js";
import { type Situation, Situations } from "./situations.js";
import type { ComingId, StateId } from "./state-book.js";
import type { StepMemory } from "./step.js";
import { type Stretch, Stretches } from "./stretches.js";
import { TupleBook } from "./tuple-book.js";
import { Pairs, type WordId } from "./words.js";

/** A component that rests on nothing but the oscillator, stepped by itself. */
export class RunningPart {
  readonly component: Component;
  readonly situations: Situations;
  readonly stretches: Stretches<Situation>;
  state: ComponentStateId;
  readonly memory: StepMemory;
  readonly #shared: Shared;
  readonly #states: ComponentStates;
  /** Numbers what is still to come together with what is fed. */
  readonly #starts = new Pairs();
  readonly #seen: Seen;
  readonly #shown: View[] = [];
  readonly #nothing: ComingId;

  constructor(shared: Shared, component: Component, seen: readonly View[], stateOf: (cell: CellId) => StateId) {
    this.#shared = shared;
    this.component = component;
    this.situations = new Situations();
    this.memory = {
      readers: new Readers(shared.model, component),
      changes: shared.changes,
      tables: shared.tables,
      work: shared.work,
    };
    this.#states = new ComponentStates(shared.book, component);
    this.#seen = new Seen(shared.words, seen);
    this.#nothing = shared.book.comingId([]);
    this.state = this.#states.id(component.cells.map(stateOf), this.#nothing);
    this.stretches = new Stretches(shared.words, (state, words, tick) => this.#tick(state, words, tick));
  }

  /** Adds a view of some of its cells; its number among them is that of the word in `Stretch.shown`. */
  show(to: number, seen: ReadonlySet<CellId>): View {
    const cells = this.component.cells.filter((cell) => seen.has(cell));
    const view: View = {
      from: this.component.index,
      cells,
      states: new TupleBook(cells.length),
      to,
      seen,
      ofState: [],
    };
    this.#shown.push(view);
    return view;
  }

  #tick(
    state: ComponentStateId,
    words: readonly WordId[],
    tick: number,
  ): Pick<Stretch<Situation>, "end" | "shown" | "did"> {
    const { feeds } = this.#shared;
    let input = NO_FEED;
    for (const word of words) input = feeds.join(input, this.#seen.feed(word));
    const coming = this.#states.coming(state);
    if (input === NO_FEED && coming === this.#nothing && !this.component.oscillates) {
      return { end: this.#states.idle(state), shown: this.#show(state, undefined), did: undefined };
    }
    const read = (cell: CellId): StateId =>
      this.#states.has(cell) ? this.#states.cell(state, cell) : this.#seen.read(words, cell);
    const situation = this.#situation(coming, input, read);
    if (situation.firstTick < 0) situation.firstTick = tick;
    return {
      end: this.#states.after(state, situation.writes, situation.coming),
      shown: this.#show(state, situation),
      did: situation,
    };
  }

  #situation(coming: ComingId, input: FeedId, read: (cell: CellId) => StateId): Situation {
    const start = this.#starts.id(coming, input);
    const { model, book, feeds, prove } = this.#shared;
    const look = (looked: Looked) => book.aspect(read(cellOf(looked)), aspectOf(looked));
    let found = this.situations.known(start, look);
    if (found) return found;
    this.situations.visit(
      start,
      look,
      (choices) => {
        return prove(model, book, this, { coming, fed: feeds.feed(input), read }, choices);
      },
      (situation) => {
        found = situation;
      },
    );
    if (!found) throw new RangeError("a step without an outcome");
    return found;
  }

  #show(state: ComponentStateId, situation: Situation | undefined): WordId[] {
    const { words, feeds } = this.#shared;
    return this.#shown.map((view) => {
      const states = (view.ofState[state] ??= view.states.id(view.cells.map((cell) => this.#states.cell(state, cell))));
      return words.ticks.id(states, situation ? feeds.seen(situation, view.to, view.seen) : NO_FEED);
    });
  }
}
