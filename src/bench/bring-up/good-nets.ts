import { type Circuit, netsFromOutside } from "../../circuit/index.js";
import { namesIn } from "../../parts/index.js";
import type { Board, NodeId } from "../board/board.js";
import { groupOf } from "../lanes/group.js";
import { unitsOf } from "../lanes/unit-plan.js";

/** Which nets hang on which, and which chip drives them. */
export class NetDependence {
  /** Of a net: chips that drive it, with the nets that each looks at for it. */
  private readonly sources = new Map<NodeId, { readonly chip: number; readonly reads: readonly NodeId[] }[]>();
  private readonly outside: ReadonlySet<NodeId>;
  /** Nets on which the contents of a memory show. */
  readonly showMemory: ReadonlySet<NodeId>;

  constructor(board: Board) {
    const { circuit, pins, low, high } = board;
    this.outside = new Set([
      low,
      high,
      ...circuit.nets.filter(({ rail }) => rail).map(({ id }) => id),
      ...netsFromOutside(circuit).map(({ id }) => id),
    ]);
    const memory = new Set<NodeId>();
    for (const unit of groupOf(board, []).instances.flatMap(unitsOf)) {
      const { instance, storage, outputs, port, clock } = unit;
      const expressions = [
        ...outputs.flatMap(({ value, enable }) => [value, ...(enable ? [enable] : [])]),
        ...storage.flatMap((bit) => [
          bit.kind === "register" ? bit.clock : bit.open,
          bit.next,
          ...bit.overrides.flatMap(({ when, value }) => [when, value]),
        ]),
        ...(clock?.enable ? [clock.enable] : []),
      ];
      const names = port ? unit.sensitive.filter((name) => !port.data.includes(name)) : expressions.flatMap(namesIn);
      const nodeOf = (name: string) => {
        const pin = instance.pins.get(name);
        return pin === undefined ? [] : [pins[pin]?.node ?? 0];
      };
      const reads = [...new Set(names.flatMap(nodeOf))];
      const driven = [...outputs.map(({ pin }) => pin), ...(port?.data ?? []), ...(clock ? [clock.pin] : [])];
      for (const node of driven.flatMap(nodeOf)) {
        if (port) memory.add(node);
        const own = this.sources.get(node) ?? [];
        this.sources.set(node, own);
        own.push({ chip: instance.chipIndex, reads });
      }
    }
    for (let grew = true; grew;) {
      grew = false;
      for (const [node, own] of this.sources) {
        if (memory.has(node) || !own.some(({ reads }) => reads.some((one) => memory.has(one)))) continue;
        memory.add(node);
        grew = true;
      }
    }
    this.showMemory = memory;
  }

  /** Nets that some chip drives. */
  get driven(): readonly NodeId[] {
    return [...this.sources.keys()];
  }

  /** Nets whose drivers, and all that these hang on, are among the chips: what they do is then what it will be in the end. */
  good(chips: ReadonlySet<number>): ReadonlySet<NodeId> {
    const good = new Set(this.driven);
    for (let shrank = true; shrank;) {
      shrank = false;
      for (const node of good) {
        const holds = this.sources
          .get(node)
          ?.every(({ chip, reads }) => chips.has(chip) && reads.every((one) => good.has(one) || this.outside.has(one)));
        if (holds) continue;
        good.delete(node);
        shrank = true;
      }
    }
    return good;
  }

  /** The chips on which a net hangs. */
  chipsBehind(node: NodeId): ReadonlySet<number> {
    const chips = new Set<number>();
    const seen = new Set<NodeId>();
    const visit = (one: NodeId): void => {
      if (seen.has(one)) return;
      seen.add(one);
      for (const { chip, reads } of this.sources.get(one) ?? []) {
        chips.add(chip);
        reads.forEach(visit);
      }
    };
    visit(node);
    return chips;
  }
}

/** Chips in the order in which they can be brought up: each block makes some nets good with as few chips as may be. */
export function blocksOf(board: Board, dependence: NetDependence): readonly (readonly number[])[] {
  const { circuit } = board;
  const behind = dependence.driven.map((node) => dependence.chipsBehind(node));
  const plugged = new Set<number>();
  const blocks: number[][] = [];
  const oscillators = circuit.chips.flatMap(({ part }, index) => (part.oscillation ? [index] : []));
  const plug = (chips: readonly number[]) => {
    if (chips.length === 0) return;
    blocks.push([...chips]);
    for (const chip of chips) plugged.add(chip);
  };
  plug(oscillators);
  for (;;) {
    let next: readonly number[] | undefined;
    for (const chips of behind) {
      const missing = [...chips].filter((chip) => !plugged.has(chip));
      if (missing.length > 0 && (next === undefined || missing.length < next.length)) next = missing;
    }
    if (!next) break;
    plug([...next].sort((a, b) => a - b));
  }
  plug(restOf(circuit, plugged));
  return blocks;
}

/** Chips that drive nothing. */
function restOf({ chips }: Circuit, plugged: ReadonlySet<number>): number[] {
  return chips.flatMap((_, index) => (plugged.has(index) ? [] : [index]));
}
