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
import { Pairs, type WordId } from "./words.js";

/** More states than this at one time are not followed: a board whose requests come to rest has a few hundred. */
const MOST_VARIANTS = 600;

/** Thrown where signals from outside leave a circuit in more states than can be followed. */
export class TooManyStates extends Error {
  readonly states: number;

  constructor(states: number) {
    super(`the signals from outside leave the circuit in more than ${MOST_VARIANTS} states at once`);
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

/** Number of the states of the first so many components together. */
type BeginningId = number;

/** One component of the dependent part. */
interface Part {
  readonly component: Component;
  readonly memory: StepMemory;
  readonly states: ComponentStates;
  readonly situations: Situations;
  /** Numbers what is still to come together with what is fed. */
  readonly starts: Pairs;
  /** The components whose waves it sees: by position in the dependent part, -1 of those that run by themselves. */
  readonly upstream: readonly {
    readonly part: number;
    readonly component: number;
    readonly cells: ReadonlySet<CellId>;
  }[];
  /** Positions of the views of the components that run by themselves which it sees. */
  readonly views: readonly number[];
  /** By position in the dependent part, whether it sees that component; and the first that it sees. */
  readonly sees: readonly boolean[];
  readonly firstSeen: number;
  /** Outside signals may change without anything else happening. */
  readonly isRestless: boolean;
  /** Numbers its state together with all that it sees; and by that number, what comes of it. */
  readonly looks: Pairs;
  readonly results: (Result | undefined)[];
  /** The beginnings that end with this component: the beginning before it, and its state. */
  readonly beginnings: Pairs;
  readonly acts: Pairs;
  /** What the components up to this one do: what those before it do, and its act. */
  readonly doings: Pairs;
  /** By doing, the number of the moment that it was met in last. */
  readonly metIn: number[];
}

/** What can come of one component's state and of all that it sees. */
interface Result {
  readonly goals: readonly { readonly after: ComponentStateId; readonly act: ActId }[];
  /** Cells of components that run by themselves which it rests on. */
  readonly reads: readonly CellId[];
  /** Number of the moment in which these were noted last. */
  notedIn: number;
}

/** Number of a component's state together with what it does: 0 if it is idle, else the situation's number and one. */
type ActId = number;
/** Number of what the first so many components do together. */
type DoingId = number;

/** One way that a step of the first components can go. */
interface Way {
  readonly reached: BeginningId;
  readonly doing: DoingId;
}

/** What a step of a set of states looks at. */
interface Moment {
  readonly number: number;
  /** What the components that run by themselves show, by position of the view. */
  readonly words: readonly WordId[];
  /** What they do, by component. */
  readonly done: readonly (FeedSource | undefined)[];
  /** The state of one of their cells as the tick begins. */
  readonly read: (cell: CellId) => StateId;
  /** Of each component, the ways found so far for each beginning. */
  readonly ways: readonly Map<BeginningId, readonly Way[]>[];
}

/**
 * The components that rest on outside signals or memory contents. Together they may be in any of a set of states in each
 * tick, and every one is followed; a set that meets the same again goes to the same set. States that begin alike share what
 * their first components do.
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
  readonly #views: readonly View[];
  readonly #seen: Seen;
  readonly #groups: (readonly BeginningId[])[] = [];
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
    this.#views = views;
    this.#seen = new Seen(shared.words, views);
    this.#nothing = shared.book.comingId([]);
    const partOf = new Map(components.map(({ index }, part) => [index, part] as const));
    const viewOf = new Map(views.map(({ from }, view) => [from, view] as const));
    const seenBy = ({ upstream }: Component) =>
      components.map(({ index }) => upstream.some((up) => up.component === index));
    this.#parts = components.map((component, position) => ({
      component,
      views: component.upstream.flatMap((up) => viewOf.get(up.component) ?? []),
      sees: seenBy(component),
      firstSeen: seenBy(component).includes(true) ? seenBy(component).indexOf(true) : position,
      looks: new Pairs(),
      results: [],
      memory: { readers: new Readers(shared.model, component), changes: shared.changes, work: shared.work },
      states: new ComponentStates(shared.book, component),
      situations: new Situations(shared.model.cellCount, shared.book),
      starts: new Pairs(),
      upstream: component.upstream.map((up) => ({ ...up, part: partOf.get(up.component) ?? -1 })),
      isRestless: component.outside.some(({ input, edges }) => input.timing.kind === "any time" && edges.length > 0),
      beginnings: new Pairs(),
      acts: new Pairs(),
      doings: new Pairs(),
      metIn: [],
    }));
    this.#partOf = new Int32Array(shared.model.cellCount).fill(-1);
    this.#parts.forEach(({ component }, index) => {
      for (const cell of component.cells) this.#partOf[cell] = index;
    });
    let start: BeginningId = 0;
    for (const { component, states, beginnings } of this.#parts) {
      start = beginnings.id(start, states.id(component.cells.map(stateOf), this.#nothing));
    }
    this.state = this.#groupId([start]);
    this.stretches = new Stretches(shared.words, (group, words, tick) => this.#tick(group, words, tick));
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
    const known = tree.find(read);
    const did = typeof known === "object" ? known : this.#prove(group, words, read, tree, tick);
    return { end: did.group, shown: [], did };
  }

  /** What the components that run by themselves do in a tick. */
  #done(words: readonly WordId[]): (FeedSource | undefined)[] {
    const done: (FeedSource | undefined)[] = [];
    this.#views.forEach(({ from }, index) => {
      const feed = this.#seen.feed(words[index] ?? 0);
      if (feed === NO_FEED) return;
      const known = this.#sources.get(feed) ?? { feed: this.#shared.feeds.feed(feed), feedTo: new Map() };
      this.#sources.set(feed, known);
      done[from] = known;
    });
    return done;
  }

  #prove(
    group: GroupId,
    words: Moment["words"],
    read: Moment["read"],
    tree: ReadingTree<GroupStep>,
    tick: number,
  ): GroupStep {
    const reads: [CellId, StateId][] = [];
    const seen = new Set<CellId>();
    const met = new Set<Situation>();
    const next = new Set<BeginningId>();
    const readNoted = (cell: CellId): StateId => {
      const state = read(cell);
      if (!seen.has(cell)) {
        seen.add(cell);
        reads.push([cell, state]);
      }
      return state;
    };
    const moment: Moment = {
      number: ++this.#moments,
      words,
      done: this.#done(words),
      read: readNoted,
      ways: this.#parts.map(() => new Map<BeginningId, readonly Way[]>()),
    };
    for (const variant of this.#groups[group] ?? []) {
      for (const { reached, doing } of this.#ways(moment, this.#parts.length - 1, variant)) {
        next.add(reached);
        this.#meet(doing, moment, met);
      }
    }
    this.mostVariants = Math.max(this.mostVariants, next.size);
    if (next.size > MOST_VARIANTS) throw new TooManyStates(next.size);
    const group2 = this.#groupId([...next].sort((a, b) => a - b));
    const step: GroupStep = { group: group2, met: [...met], count: 0, firstTick: tick };
    tree.add(reads, step);
    return step;
  }

  /** Every way in which the components up to `last` can go on from a beginning, each once. */
  #ways(moment: Moment, last: number, beginning: BeginningId): readonly Way[] {
    const part = this.#parts[last];
    if (!part) return START;
    const found = moment.ways[last];
    const known = found?.get(beginning);
    if (known) return known;
    const before = part.beginnings.first(beginning);
    const ways: Way[] = [];
    for (const way of this.#ways(moment, last - 1, before)) {
      for (const { after, act } of this.#result(part, last, moment, beginning, way.doing).goals) {
        const doing = part.doings.id(way.doing, act);
        const reached = part.beginnings.id(way.reached, after);
        if (!ways.some((other) => other.reached === reached && other.doing === doing)) ways.push({ reached, doing });
      }
    }
    found?.set(beginning, ways);
    return ways;
  }

  /** What can come of a component's state at a beginning, and of what those before it do in one way. */
  #result(part: Part, last: number, moment: Moment, beginning: BeginningId, doing: DoingId): Result {
    let look = part.beginnings.second(beginning);
    for (const view of part.views) look = part.looks.id(look, moment.words[view] ?? 0);
    let at = doing;
    for (let index = last - 1; index >= part.firstSeen; index--) {
      const doings = this.#parts[index]?.doings;
      if (!doings) break;
      if (part.sees[index]) look = part.looks.id(look, doings.second(at));
      at = doings.first(at);
    }
    const known = (part.results[look] ??= this.#find(part, last, moment, beginning, doing));
    if (known.notedIn !== moment.number) {
      known.notedIn = moment.number;
      for (const cell of known.reads) moment.read(cell);
    }
    return known;
  }

  #find(part: Part, last: number, moment: Moment, beginning: BeginningId, doing: DoingId): Result {
    const { states, acts } = part;
    const state = part.beginnings.second(beginning);
    const fed = this.#fedTo(part, last, moment.done, doing);
    const coming = states.coming(state);
    if (fed === NO_FEED && coming === this.#nothing && !part.isRestless) {
      return { goals: [{ after: states.idle(state), act: acts.id(state, 0) }], reads: [], notedIn: 0 };
    }
    const reads = new Set<CellId>();
    const read = (cell: CellId): StateId => {
      if ((this.#partOf[cell] ?? -1) < 0) reads.add(cell);
      return this.#read(moment, last, beginning, cell);
    };
    const goals = this.#situations(part, coming, fed, read).map(({ number, writes, coming: left }) => {
      return { after: states.after(state, writes, left), act: acts.id(state, number + 1) };
    });
    return { goals, reads: [...reads], notedIn: 0 };
  }

  /** What the component at `index` does in what those up to it do; undefined if it is idle. */
  #didAt(index: number, doing: DoingId): Situation | undefined {
    const part = this.#parts[index];
    const number = part?.acts.second(part.doings.second(doing)) ?? 0;
    return part?.situations.all[number - 1];
  }

  /** Adds what is done in one way, first components first. */
  #meet(doing: DoingId, { number }: Pick<Moment, "number">, met: Set<Situation>, last = this.#parts.length - 1): void {
    const part = this.#parts[last];
    if (!part || part.metIn[doing] === number) return;
    part.metIn[doing] = number;
    this.#meet(part.doings.first(doing), { number }, met, last - 1);
    const did = this.#didAt(last, doing);
    if (did) met.add(did);
  }

  #situations(part: Part, coming: ComingId, fed: FeedId, read: (cell: CellId) => StateId): readonly Situation[] {
    const start = part.starts.id(coming, fed);
    const known = part.situations.known(start, read);
    if (known) return [known];
    const { model, book, feeds, prove } = this.#shared;
    const found: Situation[] = [];
    part.situations.visit(
      start,
      read,
      (choices) => {
        return prove(model, book, part, { coming, fed: feeds.feed(fed), read }, choices);
      },
      (situation) => found.push(situation),
    );
    return found;
  }

  /** The state of a cell as the tick begins, where the components up to `last` are in the states of a beginning. */
  #read(moment: Moment, last: number, beginning: BeginningId, cell: CellId): StateId {
    const index = this.#partOf[cell] ?? -1;
    if (index < 0) return moment.read(cell);
    let at = beginning;
    for (let i = last; i > index; i--) at = this.#parts[i]?.beginnings.first(at) ?? 0;
    const part = this.#parts[index];
    return part?.states.cell(part.beginnings.second(at), cell) ?? 0;
  }

  #fedTo({ component, upstream }: Part, index: number, done: Moment["done"], doing: DoingId): FeedId {
    const { feeds } = this.#shared;
    let input = NO_FEED;
    for (const { part, component: from, cells } of upstream) {
      let source: FeedSource | undefined = done[from];
      if (part >= 0) {
        let at = doing;
        for (let i = index - 1; i > part; i--) at = this.#parts[i]?.doings.first(at) ?? 0;
        source = this.#didAt(part, at);
      }
      if (source) input = feeds.join(input, feeds.seen(source, component.index, cells));
    }
    return input;
  }

  #groupId(variants: readonly BeginningId[]): GroupId {
    const key = variants.join();
    const known = this.#groupIds.get(key);
    if (known !== undefined) return known;
    const id = this.#groups.push(variants) - 1;
    this.#groupIds.set(key, id);
    return id;
  }
}

/** The one way before any component has been stepped. */
const START: readonly Way[] = [{ reached: 0, doing: 0 }];
