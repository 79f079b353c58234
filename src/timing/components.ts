import type { CellId, ChipModel, Model, NetModel } from "./model.js";

/** Sections and shared nets that must be stepped together, in an order in which each needs only what comes before it. */
export interface Component {
  readonly index: number;
  readonly isDependent: boolean;
  /** Holds the oscillator. */
  readonly oscillates: boolean;
  has(chip: ChipModel): boolean;
  /** Whether the wave of a net belongs here. */
  owns(net: NetModel): boolean;
  readonly cells: readonly CellId[];
  /** Components before this one whose waves it sees, with the cells that it sees. */
  readonly upstream: readonly { readonly component: number; readonly cells: ReadonlySet<CellId> }[];
}

/**
 * Splits a circuit into components. What runs by itself falls apart where nothing leads back: a divider, the counters after
 * it, the decoding after them; each then repeats in far fewer situations than all together. Gates that rest on the same
 * storage stay together. What depends on outside signals or memory contents is one component, the last.
 */
export function componentsOf(model: Model): readonly Component[] {
  const sections = model.chips.length;
  const shared = model.nets.filter((net) => net.drivers.length > 1);
  const nodeOfNet = new Map(shared.map((net, index) => [net, sections + index]));
  const isDependent = (node: number): boolean => {
    if (node < sections) return model.dependents.sections.has(node);
    const net = shared[node - sections];
    return net !== undefined && model.dependents.nets.has(net.net.id);
  };
  const next = (node: number): number[] => {
    if (node >= sections) return shared[node - sections]?.receivers.map(({ chip }) => chip.index) ?? [];
    const outputs = model.chips[node]?.outputs ?? [];
    return outputs.flatMap(({ net }) => {
      const netNode = nodeOfNet.get(net);
      return netNode === undefined ? net.receivers.map(({ chip }) => chip.index) : [netNode];
    });
  };
  const nodes = Array.from({ length: sections + shared.length }, (_, node) => node).filter(
    (node) => !isDependent(node),
  );
  const loops = stronglyConnected(nodes, (node) => next(node).filter((n) => !isDependent(n)));
  const groups = joinByStorage(loops, next, (node) => (model.chips[node]?.storage.length ?? 0) > 0);
  const dependentNodes = Array.from({ length: sections + shared.length }, (_, node) => node).filter(isDependent);
  const all = [...groups, dependentNodes];

  const componentOf = new Map<number, number>();
  all.forEach((group, index) => {
    for (const node of group) componentOf.set(node, index);
  });
  const ownerOf = (net: NetModel): number | undefined => {
    const node = nodeOfNet.get(net) ?? net.drivers[0]?.chip.index;
    return node === undefined ? all.length - 1 : componentOf.get(node);
  };
  const componentOfCell = model.cells.map((cell): number | undefined => {
    if (cell.kind === "outside") return all.length - 1;
    return componentOf.get(cell.kind === "shared net" ? (nodeOfNet.get(cell.net) ?? -1) : cell.chip.index);
  });
  return all.map((group, index): Component => {
    const members = new Set(group);
    const cells = componentOfCell.flatMap((component, cell) => (component === index ? [cell] : []));
    const seen = new Map<number, Set<CellId>>();
    const see = (cell: CellId) => {
      const from = componentOfCell[cell];
      if (from === undefined || from === index) return;
      seen.set(from, (seen.get(from) ?? new Set()).add(cell));
    };
    for (const node of group) {
      for (const pin of model.chips[node]?.pins ?? []) if (pin.net.wave >= 0) see(pin.net.wave);
      for (const { cell } of shared[node - sections]?.drivers ?? []) see(cell);
    }
    const isLast = index === all.length - 1;
    for (const { input } of isLast ? model.outside : []) {
      const net = "net" in input.timing ? model.nets[input.timing.net] : undefined;
      if (net && net.wave >= 0) see(net.wave);
    }
    return {
      index,
      isDependent: isLast,
      oscillates: componentOfCell[model.oscillator.cell] === index,
      has: (chip) => members.has(chip.index),
      owns: (net) => ownerOf(net) === index,
      cells,
      upstream: [...seen].map(([component, seenCells]) => ({ component, cells: seenCells })),
    };
  });
}

/** Strongly connected components, each before those it leads to (Tarjan, 1972). */
function stronglyConnected(nodes: readonly number[], next: (node: number) => readonly number[]): number[][] {
  const order = new Map<number, number>();
  const low = new Map<number, number>();
  const stack: number[] = [];
  const onStack = new Set<number>();
  const result: number[][] = [];
  const visit = (node: number): void => {
    order.set(node, order.size);
    low.set(node, order.get(node) ?? 0);
    stack.push(node);
    onStack.add(node);
    for (const other of next(node)) {
      if (!order.has(other)) {
        visit(other);
        low.set(node, Math.min(low.get(node) ?? 0, low.get(other) ?? 0));
      } else if (onStack.has(other)) low.set(node, Math.min(low.get(node) ?? 0, order.get(other) ?? 0));
    }
    if (low.get(node) !== order.get(node)) return;
    const component: number[] = [];
    for (let member = -1; member !== node;) {
      member = stack.pop() ?? node;
      onStack.delete(member);
      component.push(member);
    }
    result.unshift(component);
  };
  for (const node of nodes) if (!order.has(node)) visit(node);
  return result;
}

/** Joins groups without storage that rest on the same groups with storage; the result is in order again. */
function joinByStorage(
  groups: readonly number[][],
  next: (node: number) => readonly number[],
  holds: (node: number) => boolean,
): number[][] {
  const groupOf = new Map<number, number>();
  groups.forEach((group, index) => {
    for (const node of group) groupOf.set(node, index);
  });
  const rests = groups.map(() => new Set<number>());
  const joined = new Map<string, number[]>();
  const result: number[][] = [];
  groups.forEach((group, index) => {
    const own = rests[index] ?? new Set<number>();
    const isStored = group.some(holds);
    for (const node of group) {
      for (const other of next(node)) {
        const to = groupOf.get(other);
        if (to === undefined || to === index) continue;
        if (isStored) rests[to]?.add(index);
        else for (const rest of own) rests[to]?.add(rest);
      }
    }
    const key = [...own].sort((a, b) => a - b).join();
    const known = isStored ? undefined : joined.get(key);
    if (known) known.push(...group);
    else {
      const made = [...group];
      result.push(made);
      if (!isStored) joined.set(key, made);
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
