import { type Behaviour, memoryPorts, namesIn } from "../../parts/index.js";
import type { Board, NodeId, PinId } from "../board/board.js";
import { type Edit, variantOf } from "../board/variant.js";

/** Tells what an edit of a board may have to do with: nodes whose levels may hang on it, whatever else is wrong. */
export type Reach = (edit: Edit) => { readonly nodes: ReadonlySet<NodeId>; readonly pins: ReadonlySet<PinId> };

/** Follows the chips of a board from their inputs to their outputs, through what they store. */
export function reachOf(board: Board): Reach {
  const next = new Map<NodeId, Set<NodeId>>();
  /** Nodes of outputs that may follow a pin. */
  const behind = new Map<PinId, NodeId[]>();
  board.circuit.chips.forEach(({ part: { behaviour } }, chip) => {
    for (const [output, inputs] of dependences(behaviour)) {
      const to = board.pinNamed(chip, output)?.node;
      if (to === undefined) continue;
      for (const input of inputs) {
        const from = board.pinNamed(chip, input);
        if (!from) continue;
        behind.set(from.id, [...(behind.get(from.id) ?? []), to]);
        if (isRail(board, from.node)) continue;
        const own = next.get(from.node) ?? new Set();
        next.set(from.node, own.add(to));
      }
    }
  });
  const known = new Map<NodeId, ReadonlySet<NodeId>>();
  const from = (node: NodeId): ReadonlySet<NodeId> => {
    const found = known.get(node) ?? new Set([node]);
    if (known.has(node)) return found;
    for (const one of found) for (const more of next.get(one) ?? []) (found as Set<NodeId>).add(more);
    known.set(node, found);
    return found;
  };
  return (edit) => {
    const { moved } = variantOf(board, edit);
    const chips = new Set([...(edit.dead ?? []), ...(edit.replace ?? []).map(({ chipIndex }) => chipIndex)]);
    const outputs = board.pins.filter(({ chipIndex, drives }) => drives && chips.has(chipIndex));
    const joined = (edit.join ?? []).flat().flatMap((end) => (typeof end === "number" ? [board.pins[end]?.node] : []));
    const touched = [
      ...outputs.map(({ node }) => node),
      // What a moved pin reads goes on to its chip's outputs.
      ...[...moved.keys(), ...(edit.invert ?? [])].flatMap((pin) => behind.get(pin) ?? []),
      ...[...moved].flatMap(([pin, node]) => [board.pins[pin]?.node, node]),
      ...joined,
    ];
    const nodes = new Set<NodeId>();
    for (const node of touched) {
      if (node === undefined || isRail(board, node)) continue;
      for (const one of from(node)) nodes.add(one);
    }
    return { nodes, pins: new Set(moved.keys()) };
  };
}

function isRail({ circuit, low, high }: Board, node: NodeId): boolean {
  return node === low || node === high || circuit.nets[node]?.rail !== undefined;
}

/** Pins by the outputs that may follow them, at once or later. */
function dependences(behaviour: Behaviour): ReadonlyMap<string, ReadonlySet<string>> {
  const bits = new Map(behaviour.storage.map((bit) => [bit.name, bit]));
  const readsOf = (name: string): readonly string[] => {
    const bit = bits.get(name);
    if (!bit) return [];
    const acting = bit.kind === "register" ? bit.clock : bit.open;
    return [bit.next, acting, ...bit.overrides.flatMap(({ when, value }) => [when, value])].flatMap(namesIn);
  };
  const closed = (names: readonly string[]): ReadonlySet<string> => {
    const found = new Set(names);
    for (const name of found) for (const more of readsOf(name)) found.add(more);
    return found;
  };
  const { clockSource } = behaviour;
  const ports = memoryPorts(behaviour);
  // What is written at one port is read at another.
  const ofMemory = ports.flatMap(({ address, data, read, write }) => [
    ...address,
    ...data,
    ...[read, ...(write ? [write] : [])].flatMap(namesIn),
  ]);
  return new Map([
    ...behaviour.outputs.map(
      ({ pin, value, enable }) =>
        [pin, closed([value, ...(enable ? [enable] : [])].flatMap((one) => [...namesIn(one)]))] as const,
    ),
    ...ports.flatMap(({ data }) => data).map((pin) => [pin, closed(ofMemory)] as const),
    ...(clockSource?.enable ? [[clockSource.pin, closed([...namesIn(clockSource.enable)])] as const] : []),
  ]);
}
