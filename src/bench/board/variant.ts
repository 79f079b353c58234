import type { Behaviour, Package } from "../../parts/index.js";
import type { Board, NodeId, PinId } from "./board.js";

/** Another function in a chip's socket. */
export interface Replacement {
  readonly chipIndex: number;
  readonly number: string;
  readonly behaviour: Behaviour;
  readonly package: Package;
}

/** What is different on a board from what its circuit says. */
export interface Edit {
  /** Wires that are not there, by id. */
  readonly cut?: readonly number[];
  /** Pins that are joined besides, to a pin or to a rail. */
  readonly join?: readonly (readonly [PinId, PinId | "low" | "high"])[];
  /** Chips that do nothing, by position. */
  readonly dead?: readonly number[];
  readonly replace?: readonly Replacement[];
  /** A chip is in its socket the wrong way round: its supply pins are exchanged, which shorts the supply. */
  readonly backwards?: boolean;
  /** Inputs that see the opposite level. */
  readonly invert?: readonly PinId[];
}

/** A board with an edit: which pins are elsewhere than the circuit says. */
export interface Variant {
  readonly edit: Edit;
  /** Pins that are not at their own node. Nodes from `nodeCount` on are this variant's own. */
  readonly moved: ReadonlyMap<PinId, NodeId>;
  /** Nodes of its own beyond the board's. */
  readonly extraNodes: number;
  /** Both rails are joined: the supply is shorted, and nothing works. */
  readonly isShorted: boolean;
}

/** Joins several edits into one: several faults at once. */
export function bothEdits(a: Edit, b: Edit): Edit {
  return {
    cut: [...(a.cut ?? []), ...(b.cut ?? [])],
    join: [...(a.join ?? []), ...(b.join ?? [])],
    dead: [...(a.dead ?? []), ...(b.dead ?? [])],
    replace: [...(a.replace ?? []), ...(b.replace ?? [])],
    invert: [...(a.invert ?? []), ...(b.invert ?? [])],
    backwards: a.backwards === true || b.backwards === true,
  };
}

/** Works out what the pins of a board are joined to after an edit. */
export function variantOf(board: Board, edit: Edit): Variant {
  const { circuit, pins, wires, wiresOf, nodeCount } = board;
  const isRail = (node: NodeId) => circuit.nets[node]?.rail;
  const cut = new Set(edit.cut);
  const touched = new Set<PinId>();
  for (const id of cut) {
    const wire = wires[id];
    if (!wire) continue;
    touched.add(wire.to);
    if (wire.from !== undefined) touched.add(wire.from);
  }
  for (const ends of edit.join ?? []) for (const end of ends) if (typeof end === "number") touched.add(end);
  const isBackwards = edit.backwards === true;
  if (touched.size === 0) return { edit, moved: new Map(), extraNodes: 0, isShorted: isBackwards };

  // All pins of the nets that are touched; pins on rails are each on a wire of their own.
  const members = new Set<PinId>(touched);
  const nets = new Set<NodeId>();
  for (const id of touched) {
    const node = pins[id]?.node ?? 0;
    if (node < circuit.nets.length && !isRail(node)) nets.add(node);
  }
  for (const { id, node } of pins) if (nets.has(node)) members.add(id);

  const parent = new Map<PinId | "low" | "high", PinId | "low" | "high">();
  const root = (one: PinId | "low" | "high"): PinId | "low" | "high" => {
    const up = parent.get(one);
    return up === undefined || up === one ? one : root(up);
  };
  const join = (a: PinId | "low" | "high", b: PinId | "low" | "high") => void parent.set(root(a), root(b));
  for (const net of nets) {
    for (const { id, from, to } of wiresOf.get(net) ?? []) if (!cut.has(id) && from !== undefined) join(from, to);
  }
  for (const pin of members) {
    const rail = isRail(pins[pin]?.node ?? 0);
    const own = wiresOf.get(pins[pin]?.node ?? 0)?.find(({ to, from }) => to === pin && from === undefined);
    if (rail && own && !cut.has(own.id)) join(pin, rail);
  }
  for (const [a, b] of edit.join ?? []) join(a, b);

  // Each group of pins takes the node of the net whose first pin is in it.
  const groups = new Map<PinId | "low" | "high", PinId[]>();
  for (const pin of [...members].sort((a, b) => a - b)) {
    const own = groups.get(root(pin));
    if (own) own.push(pin);
    else groups.set(root(pin), [pin]);
  }
  const [low, high] = [root("low"), root("high")];
  const firstOf = new Map<PinId, NodeId>();
  for (const net of nets) {
    const [first] = wiresOf.get(net) ?? [];
    const start = first?.from ?? first?.to ?? pins.find(({ node }) => node === net)?.id;
    if (start !== undefined) firstOf.set(start, net);
  }
  const moved = new Map<PinId, NodeId>();
  let extraNodes = 0;
  for (const [group, own] of groups) {
    const homes = own.flatMap((pin) => firstOf.get(pin) ?? []);
    const open = own.map((pin) => pins[pin]?.node ?? 0).filter((node) => node >= circuit.nets.length);
    const node =
      group === low
        ? board.low
        : group === high
          ? board.high
          : ((homes.length > 0 ? Math.min(...homes) : open[0]) ?? nodeCount + extraNodes++);
    for (const pin of own) if (pins[pin]?.node !== node) moved.set(pin, node);
  }
  return { edit, moved, extraNodes, isShorted: isBackwards || low === high };
}

/** The same for edits that make the same board. */
export function variantKey({ edit, moved, isShorted }: Variant): string {
  if (isShorted) return "shorted";
  return JSON.stringify([
    [...moved].sort(([a], [b]) => a - b),
    [...new Set(edit.dead)].sort((a, b) => a - b),
    edit.replace?.map(({ chipIndex, number }) => [chipIndex, number]) ?? [],
    edit.invert ?? [],
  ]);
}
