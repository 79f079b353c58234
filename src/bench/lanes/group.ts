import { type Behaviour, memoryPorts } from "../../parts/index.js";
import type { Board, NodeId, PinId } from "../board/board.js";
import type { Variant } from "../board/variant.js";
import { LANES, type LaneMask, allLanes, clearLane, noLanes, setLane } from "./lane-mask.js";

/** Each board is simulated twice, with what is open decided the other way round. */
export const WAYS = 2;
/** Boards in a group. */
export const BOARDS = LANES / WAYS;

/** A pin's node in some lanes, where it is not the usual one. */
export interface Placement {
  readonly node: NodeId;
  readonly lanes: LaneMask;
}

/** A chip as it stands in some lanes: its own function, or another one in its socket. */
export interface Instance {
  readonly chipIndex: number;
  readonly behaviour: Behaviour;
  /** The place on the board of each of its pins; absent at supply pins. */
  readonly pins: ReadonlyMap<string, PinId>;
  readonly alive: LaneMask;
}

/** Boards that are simulated together, and how they differ. */
export interface Group {
  readonly board: Board;
  readonly variants: readonly Variant[];
  readonly nodeCount: number;
  readonly instances: readonly Instance[];
  /** Of pins that are not at their usual node in all lanes. */
  readonly placements: ReadonlyMap<PinId, readonly Placement[]>;
  /** Lanes in which an input sees the opposite level. */
  readonly inverted: ReadonlyMap<PinId, LaneMask>;
}

/** The lanes of a board of a group. */
export function lanesOf(position: number): readonly number[] {
  return Array.from({ length: WAYS }, (_, way) => position * WAYS + way);
}

/** Puts up to `BOARDS` variants of a board side by side. */
export function groupOf(board: Board, variants: readonly Variant[]): Group {
  if (variants.length > BOARDS) throw new RangeError(`${variants.length} boards do not fit a group of ${BOARDS}`);
  const placements = new Map<PinId, Placement[]>();
  const inverted = new Map<PinId, LaneMask>();
  const alive = board.circuit.chips.map(() => allLanes());
  const others = new Map<string, Instance>();
  let extra = 0;
  variants.forEach(({ edit, moved, extraNodes }, position) => {
    const lanes = lanesOf(position);
    const own = (mask: LaneMask) => lanes.forEach((lane) => setLane(mask, lane));
    extra = Math.max(extra, extraNodes);
    for (const [pin, node] of moved) {
      const known = placements.get(pin) ?? [];
      placements.set(pin, known);
      let place = known.find((one) => one.node === node);
      if (!place) known.push((place = { node, lanes: noLanes() }));
      own(place.lanes);
    }
    for (const pin of edit.invert ?? []) {
      const mask = inverted.get(pin) ?? noLanes();
      inverted.set(pin, mask);
      own(mask);
    }
    const replaced = (edit.replace ?? []).map(({ chipIndex }) => chipIndex);
    for (const chip of [...(edit.dead ?? []), ...replaced]) {
      for (const lane of lanes) if (alive[chip]) clearLane(alive[chip], lane);
    }
    for (const { chipIndex, number, behaviour, package: shape } of edit.replace ?? []) {
      const key = `${chipIndex} ${number}`;
      let instance = others.get(key);
      if (!instance) {
        const pins = shape.pins.flatMap((pin) => {
          const at = board.pinAt(chipIndex, pin.number);
          return at ? [[pin.name, at.id] as const] : [];
        });
        others.set(key, (instance = { chipIndex, behaviour, pins: new Map(pins), alive: noLanes() }));
      }
      own(instance.alive);
    }
  });
  const usual = board.circuit.chips.map((chip, chipIndex): Instance => {
    const { behaviour } = chip.part;
    const pins = behaviour.pins.flatMap(({ name }) => {
      const pin = board.pinNamed(chipIndex, name);
      return pin ? [[name, pin.id] as const] : [];
    });
    return { chipIndex, behaviour, pins: new Map(pins), alive: alive[chipIndex] ?? allLanes() };
  });
  return {
    board,
    variants,
    nodeCount: board.nodeCount + extra,
    instances: [...usual, ...others.values()],
    placements,
    inverted,
  };
}

/** Output pins of a behaviour of which is known what they drive. */
export function drivenPins(behaviour: Behaviour): readonly string[] {
  return [
    ...behaviour.outputs.map(({ pin }) => pin),
    ...memoryPorts(behaviour).flatMap(({ data }) => data),
    ...(behaviour.clockSource ? [behaviour.clockSource.pin] : []),
  ];
}
