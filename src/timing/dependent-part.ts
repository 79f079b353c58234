import { type Looked, aspectOf, cellOf } from "./aspects.js";
import { ComponentStates, type ComponentStateId } from "./component-states.js";
import type { Component } from "./components.js";
import { type FeedId, type FeedSource, NO_FEED } from "./feeds.js";
import type { CellId } from "./model.js";
import { ReadingTree } from "./reading-tree.js";
import { Readers } from "./reactions.js";
import { Seen, type Shared, type View } from "./seen.js";
import { type Situation, Situations } from "./situations.js";
import type { ComingId, StateId } from "./state-book.js";
import type { StepMemory } from "./step.js";
import { type Stretch, Stretches } from "./stretches.js";
import { TupleBook } from "./tuple-book.js";
import { type SightId, Outlook } from "./outlook.js";
import { Pairs, type WordId } from "./words.js";

/** Thrown where signals from outside leave a circuit in more states than can be followed. */
export class TooManyStates extends Error {
  readonly states: number;

  constructor(states: number, most: number) {
    super(`the signals from outside leave the circuit in more than ${most} states at once`);
    this.states = states;
  }
}

/** Number of a set of states that the dependent part may be in. */
export type GroupId = number;

export interface GroupStep {
  readonly group: GroupId;
  /** The situations met by any of the states, each once. */
  readonly met: readonly Situation[];
  count: number;
  firstTick: number;
}

/** Number of the states of all components together. */
type VariantId = number;

/** One component of the dependent part. */
interface Part {
  readonly component: Component;
  readonly memory: StepMemory;
  readonly states: ComponentStates;
  readonly situations: Situations;
  /** Numbers what is still to come together with what is fed. */
  readonly starts: Pairs;
  readonly upstream: readonly Upstream[];
  /** Outside signals may change without anything else happening. */
  readonly isRestless: boolean;
  /** Numbers its state together with all that it sees; and by that number, what comes of it. */
  readonly looks: Pairs;
  readonly results: (Result | undefined)[];
  readonly acts: Pairs;
  /** By act, the number of the moment that it was met in last. */
  readonly metIn: number[];
}

/** A component whose waves another one sees. */
interface Upstream {
  /** Its position in the dependent part, or that of its view among those of the components that run by themselves. */
  readonly part: number;
  readonly view: number;
  readonly outlook: Outlook;
}

/** What can come of one component's state and of all that it sees. */
interface Result {
  readonly goals: readonly { readonly after: ComponentStateId; readonly act: ActId }[];
  /** What it rests on of components that run by themselves. */
  readonly looked: readonly Looked[];
  /** Number of the moment in which these were noted last. */
  notedIn: number;
}

/** Number of a component's state together with what it does: 0 if it is idle, else the situation's number and one. */
type ActId = number;
/** The states of cells as a tick begins, and what they are under one aspect. */
interface Sight {
  readonly read: (cell: CellId) => StateId;
  readonly look: (looked: Looked) => number;
}

/** What a step of a set of states looks at. */
interface Moment {
  readonly number: number;
  /** What the components that run by themselves show, by position of the view. */
  readonly words: readonly WordId[];
  /** The state of one of their cells as the tick begins. */
  readonly read: (cell: CellId) => StateId;
  /** Notes what a step has looked at of them. */
  readonly note: (looked: Looked) => void;
  /** The situations met, and the states come to, each once. */
  readonly met: Situation[];
  readonly next: Set<VariantId>;
}

/**
 * The components that rest on outside signals or memory contents. Together they may be in any of a set of states in each
 * tick, and every one is followed; a set that meets the same again goes to the same set.
 */
export class DependentPart {
  mostVariants = 1;
  state: GroupId;
  readonly stretches: Stretches<GroupStep>;
  readonly #shared: Shared;
  readonly #parts: readonly Part[];
  /** Position in `#parts` of the component that holds a cell, by cell; -1 of others. */
  readonly #partOf: Int32Array;
  readonly #nothing: ComingId;
  readonly #seen: Seen;
  readonly #groups: (readonly VariantId[])[] = [];
  /** The states of the components, by position. */
  readonly #variants: TupleBook;
  /** Of the state that is being followed: its components' states as the tick begins and after it, and what they do. */
  readonly #before: Int32Array;
  readonly #after: Int32Array;
  readonly #acts: Int32Array;
  readonly #groupIds = new Map<string, GroupId>();
  /** By set and by what the set sees happen. */
  readonly #steps = new Map<number, ReadingTree<GroupStep>>();
  readonly #sources = new Map<FeedId, FeedSource>();
  #moments = 0;

  constructor(
    shared: Shared,
    components: readonly Component[],
    views: readonly View[],
    stateOf: (cell: CellId) => StateId,
  ) {
    this.#shared = shared;
    this.#seen = new Seen(shared.words, views);
    this.#nothing = shared.book.comingId([]);
    const partOf = new Map(components.map(({ index }, part) => [index, part] as const));
    const viewOf = new Map(views.map(({ from }, view) => [from, view] as const));
    this.#parts = components.map((component) => ({
      component,
      looks: new Pairs(),
      results: [],
      memory: {
        readers: new Readers(shared.model, component),
        changes: shared.changes,
        tables: shared.tables,
        work: shared.work,
      },
      states: new ComponentStates(shared.book, component),
      situations: new Situations(),
      starts: new Pairs(),
      upstream: component.upstream.map((up) => ({
        part: partOf.get(up.component) ?? -1,
        view: viewOf.get(up.component) ?? -1,
        outlook: new Outlook(shared.feeds, component.index, up.cells),
      })),
      isRestless: component.outside.some(({ input, edges }) => input.timing.kind === "any time" && edges.length > 0),
      acts: new Pairs(),
      metIn: [],
    }));
    this.#partOf = new Int32Array(shared.model.cellCount).fill(-1);
    this.#parts.forEach(({ component }, index) => {
      for (const cell of component.cells) this.#partOf[cell] = index;
    });
    this.#variants = new TupleBook(components.length);
    this.#before = new Int32Array(components.length);
    this.#after = new Int32Array(components.length);
    this.#acts = new Int32Array(components.length);
    const start = this.#parts.map(({ component, states }) => states.id(component.cells.map(stateOf), this.#nothing));
    this.state = this.#groupId([this.#variants.id(start)]);
    this.stretches = new Stretches(shared.words, (group, words, tick) => this.#tick(group, words, tick));
  }

  get parts(): readonly Pick<Part, "situations">[] {
    return this.#parts;
  }

  get situationCount(): number {
    return this.#parts.reduce((sum, { situations }) => sum + situations.all.length, 0);
  }

  /** Every step taken, with the situations met in it. */
  steps(): readonly GroupStep[] {
    return [...this.#steps.values()].flatMap((tree) => tree.leaves());
  }

  #tick(group: GroupId, words: readonly WordId[], tick: number): Pick<Stretch<GroupStep>, "end" | "shown" | "did"> {
    const read = (cell: CellId) => this.#seen.read(words, cell);
    let fed = NO_FEED;
    for (const word of words) fed = this.#shared.feeds.join(fed, this.#seen.feed(word));
    const key = group * 4_194_304 + fed;
    const tree = this.#steps.get(key) ?? new ReadingTree();
    this.#steps.set(key, tree);
    const known = tree.find((looked) => this.#shared.book.aspect(read(cellOf(looked)), aspectOf(looked)));
    const did = typeof known === "object" ? known : this.#prove(group, words, read, tree, tick);
    return { end: did.group, shown: [], did };
  }

  #prove(
    group: GroupId,
    words: Moment["words"],
    read: Moment["read"],
    tree: ReadingTree<GroupStep>,
    tick: number,
  ): GroupStep {
    const { book } = this.#shared;
    const readings: number[] = [];
    const seen = new Set<Looked>();
    const moment: Moment = {
      number: ++this.#moments,
      words,
      read,
      note: (looked) => {
        if (seen.has(looked)) return;
        seen.add(looked);
        readings.push(looked, book.aspect(read(cellOf(looked)), aspectOf(looked)));
      },
      met: [],
      next: new Set(),
    };
    for (const variant of this.#groups[group] ?? []) {
      this.#variants.copy(variant, this.#before);
      this.#follow(moment, 0);
    }
    const { met, next } = moment;
    this.mostVariants = Math.max(this.mostVariants, next.size);
    const most = this.#shared.model.mostOutsideStates;
    if (next.size > most) throw new TooManyStates(next.size, most);
    const step: GroupStep = { group: this.#groupId([...next].sort((a, b) => a - b)), met, count: 0, firstTick: tick };
    tree.add(readings, step);
    return step;
  }

  /** Follows every way in which the components from one on can go, after what those before it do. */
  #follow(moment: Moment, from: number): void {
    for (let index = from; index < this.#parts.length; index++) {
      const { goals } = this.#result(index, moment);
      for (const { after, act } of goals) {
        this.#after[index] = after;
        this.#acts[index] = act;
        if (goals.length > 1) this.#follow(moment, index + 1);
      }
      if (goals.length > 1) return;
    }
    this.#arrive(moment);
  }

  #arrive({ number, met, next }: Moment): void {
    next.add(this.#variants.id(this.#after));
    for (let index = 0; index < this.#parts.length; index++) {
      const metIn = this.#parts[index]?.metIn;
      const act = this.#acts[index] ?? 0;
      if (!metIn || metIn[act] === number) continue;
      metIn[act] = number;
      const did = this.#didAt(index);
      if (did) met.push(did);
    }
  }

  /** What can come of a component's state, and of what those before it do. */
  #result(index: number, moment: Moment): Result {
    const part = this.#parts[index];
    if (!part) throw new RangeError(`no component ${index}`);
    let look = this.#before[index] ?? 0;
    for (const upstream of part.upstream) look = part.looks.id(look, this.#sight(upstream, moment));
    const known = (part.results[look] ??= this.#find(part, index, moment));
    if (known.notedIn !== moment.number) {
      known.notedIn = moment.number;
      for (const looked of known.looked) moment.note(looked);
    }
    return known;
  }

  #find(part: Part, index: number, moment: Moment): Result {
    const { states, acts } = part;
    const state = this.#before[index] ?? 0;
    const fed = this.#fedTo(part, moment);
    const coming = states.coming(state);
    if (fed === NO_FEED && coming === this.#nothing && !part.isRestless) {
      return { goals: [{ after: states.idle(state), act: acts.id(state, 0) }], looked: [], notedIn: 0 };
    }
    const { book } = this.#shared;
    const noted = new Set<Looked>();
    const read = (cell: CellId) => this.#read(moment, cell);
    const look = (looked: Looked) => {
      const cell = cellOf(looked);
      if ((this.#partOf[cell] ?? -1) < 0) noted.add(looked);
      return book.aspect(read(cell), aspectOf(looked));
    };
    const goals = this.#situations(part, coming, fed, { read, look }).map(({ number, writes, coming: left }) => {
      return { after: states.after(state, writes, left), act: acts.id(state, number + 1) };
    });
    return { goals, looked: [...noted], notedIn: 0 };
  }

  /** What a component that runs by itself does in a tick with that word, as far as it is shown. */
  #shownIn(word: WordId): FeedSource | undefined {
    const feed = this.#seen.feed(word);
    if (feed === NO_FEED) return undefined;
    const known = this.#sources.get(feed) ?? { feed: this.#shared.feeds.feed(feed), feedTo: new Map() };
    this.#sources.set(feed, known);
    return known;
  }

  /** What the component at `index` does; undefined if it is idle. */
  #didAt(index: number): Situation | undefined {
    const part = this.#parts[index];
    const number = part?.acts.second(this.#acts[index] ?? 0) ?? 0;
    return part?.situations.all[number - 1];
  }

  #situations(part: Part, coming: ComingId, fed: FeedId, { read, look }: Sight): readonly Situation[] {
    const start = part.starts.id(coming, fed);
    const known = part.situations.known(start, look);
    if (known) return [known];
    const { model, book, feeds, prove } = this.#shared;
    const found: Situation[] = [];
    part.situations.visit(
      start,
      look,
      (choices) => {
        return prove(model, book, part, { coming, fed: feeds.feed(fed), read }, choices);
      },
      (situation) => found.push(situation),
    );
    return found;
  }

  /** The state of a cell as the tick begins. */
  #read(moment: Moment, cell: CellId): StateId {
    const index = this.#partOf[cell] ?? -1;
    if (index < 0) return moment.read(cell);
    return this.#parts[index]?.states.cell(this.#before[index] ?? 0, cell) ?? 0;
  }

  /** What is seen of another component in the present tick. */
  #sight({ part, view, outlook }: Upstream, moment: Moment): SightId {
    const tick = (part < 0 ? moment.words[view] : this.#acts[part]) ?? 0;
    return (
      outlook.known(tick) ??
      outlook.see(tick, (cell) => this.#read(moment, cell), part < 0 ? this.#shownIn(tick) : this.#didAt(part))
    );
  }

  #fedTo({ upstream }: Part, moment: Moment): FeedId {
    const { feeds } = this.#shared;
    return upstream.reduce((fed, up) => feeds.join(fed, up.outlook.feed(this.#sight(up, moment))), NO_FEED);
  }

  #groupId(variants: readonly VariantId[]): GroupId {
    const key = variants.join();
    const known = this.#groupIds.get(key);
    if (known !== undefined) return known;
    const id = this.#groups.push(variants) - 1;
    this.#groupIds.set(key, id);
    return id;
  }
}
