import type { CellId, ChipModel, Model, NetModel, OutsideModel } from "./model.js";
import { turningPin } from "./turning-pin.js";
import { stronglyConnected } from "./strongly-connected.js";

/**
 * Sections, shared nets and outside signals that must be stepped together, in an order in which each needs only what comes
 * before it.
 */
export interface Component {
  readonly index: number;
  /** Rests on outside signals or memory contents; such components come after all others. */
  readonly isDependent: boolean;
  /** Holds the oscillator. */
  readonly oscillates: boolean;
  readonly outside: readonly OutsideModel[];
  has(chip: ChipModel): boolean;
  /** Whether the wave of a net belongs here. */
  owns(net: NetModel): boolean;
  readonly cells: readonly CellId[];
  /** Components before this one whose waves it sees, with the cells that it sees. */
  readonly upstream: readonly { readonly component: number; readonly cells: ReadonlySet<CellId> }[];
}

/**
 * Splits a circuit into components: it falls apart where nothing leads back, into a divider, the counters after it, the
 * decoding after them, latches, the shared nets, the memory. Each then repeats in far fewer situations than all together.
 * Gates that rest on the same storage stay together.
 */
export function componentsOf(model: Model): readonly Component[] {
  const graph = new Graph(model);
  const split = (isDependent: boolean): number[][] => {
    const nodes = graph.nodes.filter((node) => graph.isDependent(node) === isDependent);
    const next = (node: number) => graph.next(node).filter((to) => graph.isDependent(to) === isDependent);
    return joinByStorage(stronglyConnected(nodes, next), next, (node) => graph.holds(node), isDependent);
  };
  const groups = [...split(false), ...split(true)];
  const componentOf = new Map(groups.flatMap((group, index) => group.map((node) => [node, index] as const)));
  const componentOfCell = model.cells.map((_, cell) => componentOf.get(graph.nodeOfCell(cell)));
  return groups.map((group, index): Component => {
    const members = new Set(group);
    const seen = new Map<number, Set<CellId>>();
    for (const cell of group.flatMap((node) => graph.cellsSeenBy(node))) {
      const from = componentOfCell[cell];
      if (from !== undefined && from !== index) seen.set(from, (seen.get(from) ?? new Set()).add(cell));
    }
    return {
      index,
      isDependent: group.some((node) => graph.isDependent(node)),
      oscillates: componentOfCell[model.oscillator.cell] === index,
      outside: group.flatMap((node) => graph.outsideAt(node)),
      has: (chip) => members.has(chip.index),
      owns: (net) => members.has(graph.ownerOf(net)),
      cells: componentOfCell.flatMap((component, cell) => (component === index ? [cell] : [])),
      upstream: [...seen].map(([component, cells]) => ({ component, cells })),
    };
  });
}

/** Sections, shared nets and outside signals as numbered nodes, and what leads to what. */
class Graph {
  readonly nodes: readonly number[];
  readonly #model: Model;
  readonly #shared: readonly NetModel[];
  readonly #firstShared: number;
  readonly #firstOutside: number;
  readonly #leftOut: ReadonlySet<number>;

  constructor(model: Model) {
    this.#model = model;
    this.#shared = model.nets.filter((net) => net.drivers.length > 1);
    this.#firstShared = model.chips.length;
    this.#firstOutside = this.#firstShared + this.#shared.length;
    const all = Array.from({ length: this.#firstOutside + model.outside.length }, (_, node) => node);
    this.#leftOut = new Set([...(model.leftOut ?? [])].map((cell) => this.#ownNodeOf(cell)));
    this.nodes = all.filter((node) => !this.#leftOut.has(node));
  }

  isDependent(node: number): boolean {
    if (node < this.#firstShared) return this.#model.dependents.sections.has(node);
    const net = this.#sharedAt(node);
    return net === undefined || this.#model.dependents.nets.has(net.net.id);
  }

  holds(node: number): boolean {
    return node >= this.#firstOutside || (this.#model.chips[node]?.storage.length ?? 0) > 0;
  }

  outsideAt(node: number): readonly OutsideModel[] {
    const outside = this.#model.outside[node - this.#firstOutside];
    return outside ? [outside] : [];
  }

  /** The node that steps a cell; -1 of cells that are left out. */
  nodeOfCell(cell: CellId): number {
    if (this.#model.leftOut?.has(cell)) return -1;
    const own = this.#model.cells[cell];
    if (own?.kind === "outside") return this.#firstOutside + this.#model.outside.findIndex((o) => o.cell === cell);
    if (own?.kind === "shared net") return this.#nodeOfShared(own.net);
    return own?.chip.index ?? -1;
  }

  /** The section or the signal from outside that a cell is; -1 of any other. */
  #ownNodeOf(cell: CellId): number {
    const own = this.#model.cells[cell];
    if (own?.kind === "chip") return own.chip.index;
    if (own?.kind !== "outside") return -1;
    return this.#firstOutside + this.#model.outside.findIndex((signal) => signal.cell === cell);
  }

  /** The node that the wave of a net belongs to; -1 where nothing drives it. */
  ownerOf(net: NetModel): number {
    return net.wave < 0 ? -1 : this.nodeOfCell(net.wave);
  }

  next(node: number): readonly number[] {
    return this.#allNext(node).filter((to) => !this.#leftOut.has(to));
  }

  #allNext(node: number): readonly number[] {
    const model = this.#model;
    const readers = (net: NetModel) => [
      ...net.receivers.map(({ chip }) => chip.index),
      ...model.outside.flatMap(({ input: { timing } }, index) =>
        "net" in timing && timing.net === net.net.id ? [this.#firstOutside + index] : [],
      ),
    ];
    if (node < this.#firstShared) {
      const outputs = model.chips[node]?.outputs ?? [];
      return outputs.flatMap(({ net }) => (net.drivers.length > 1 ? [this.#nodeOfShared(net)] : readers(net)));
    }
    const shared = this.#sharedAt(node);
    if (shared) return readers(shared);
    // Signals that are steady around an outside edge are moved together with it.
    return this.outsideAt(node).flatMap(({ net, input: { timing } }) => [
      ...readers(net),
      ...(timing.kind === "steady around"
        ? model.outside.flatMap((o, index) => (o.net.net.id === timing.net ? [this.#firstOutside + index] : []))
        : []),
    ]);
  }

  cellsSeenBy(node: number): readonly CellId[] {
    const pins = this.#model.chips[node]?.pins.map((pin) => pin.net.wave) ?? [];
    const drivers = this.#sharedAt(node)?.drivers.flatMap((driver) => [
      driver.cell,
      turningPin(driver)?.net.wave ?? -1,
    ]);
    const followed = this.outsideAt(node).flatMap(({ input: { timing } }) =>
      "net" in timing ? [this.#model.nets[timing.net]?.wave ?? -1] : [],
    );
    return [...pins, ...(drivers ?? []), ...followed].filter((cell) => cell >= 0);
  }

  #sharedAt(node: number): NetModel | undefined {
    return this.#shared[node - this.#firstShared];
  }

  #nodeOfShared(net: NetModel): number {
    return this.#firstShared + this.#shared.indexOf(net);
  }
}

/**
 * Joins groups without storage that rest on the same groups with storage, and with `alsoStored` single bits of storage that
 * rest on the same, such as the bits of a latch; the result is in order again.
 */
function joinByStorage(
  groups: readonly number[][],
  next: (node: number) => readonly number[],
  holds: (node: number) => boolean,
  alsoStored: boolean,
): number[][] {
  const groupOf = new Map<number, number>();
  groups.forEach((group, index) => {
    for (const node of group) groupOf.set(node, index);
  });
  const rests = groups.map(() => new Set<number>());
  const leaderOf = new Map<string, number>();
  const joined = new Map<string, number[]>();
  const result: number[][] = [];
  groups.forEach((group, index) => {
    const own = rests[index] ?? new Set<number>();
    const isStored = group.some(holds);
    const isAlone = isStored && group.length === 1 && alsoStored && own.size > 0;
    const key = `${isStored ? "stored" : ""} ${[...own].sort((a, b) => a - b).join()}`;
    if (isAlone && !leaderOf.has(key)) leaderOf.set(key, index);
    const self = (isAlone ? leaderOf.get(key) : undefined) ?? index;
    for (const node of group) {
      for (const other of next(node)) {
        const to = groupOf.get(other);
        if (to === undefined || to === index) continue;
        if (isStored) rests[to]?.add(self);
        else for (const rest of own) rests[to]?.add(rest);
      }
    }
    const known = isStored && !isAlone ? undefined : joined.get(key);
    if (known) known.push(...group);
    else {
      const made = [...group];
      result.push(made);
      if (!isStored || isAlone) joined.set(key, made);
    }
  });
  const resultOf = new Map(result.flatMap((group, index) => group.map((node) => [node, index] as const)));
  const leadsTo = (index: number) =>
    (result[index] ?? []).flatMap(next).flatMap((node) => {
      const to = resultOf.get(node);
      return to === undefined || to === index ? [] : [to];
    });
  return stronglyConnected([...result.keys()], leadsTo).map((indices) =>
    indices.flatMap((index) => result[index] ?? []),
  );
}
