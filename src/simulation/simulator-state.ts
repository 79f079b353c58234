import type { MemoryState } from "./memory-state.js";
import type { PendingChanges } from "./pending.js";
import type { EventQueue } from "./queue.js";

/** All that a board holds at one moment, for a simulator of the same board. */
export interface SimulatorState {
  /** Femtoseconds. */
  readonly now: number;
  /** Changes at output pins and at input pins so far. */
  readonly counts: readonly [number, number];
  readonly arrays: readonly ArrayLike<number>[];
  readonly memories: readonly (readonly number[])[];
  /** Time, target and word of each event that waits, in the order in which they come. */
  readonly events: readonly (readonly [number, number, number])[];
}

/** A state that is of another circuit than the one that is to go on from it. */
export class WrongState extends RangeError {
  constructor() {
    super("the state is of another circuit");
  }
}

/** What a simulator is made of that changes as it runs. */
export interface HeldParts {
  /** Ports of one memory share its array. */
  readonly arrays: readonly (Uint8Array | Int32Array | Float64Array)[];
  readonly memories: readonly MemoryState[];
  readonly queue: EventQueue;
  readonly pending: PendingChanges;
  /** Events of lesser targets are changes on their way to a driver; those from `firstTimer` on are somebody's outside. */
  readonly driverCount: number;
  readonly firstTimer: number;
}

/** All that is held; undefined where somebody outside waits to act. */
export function saveState(
  { arrays, memories, queue, firstTimer }: HeldParts,
  now: number,
  counts: readonly [number, number],
): SimulatorState | undefined {
  const events = [...queue.inOrder()].filter((event) => (queue.target[event] as number) >= 0);
  if (events.some((event) => (queue.target[event] as number) >= firstTimer)) return undefined;
  return {
    now,
    counts,
    arrays: arrays.map((array) => array.slice()),
    memories: memories.map(({ pinState }) => pinState),
    events: events.map((event) => [queue.time[event] ?? 0, queue.target[event] ?? 0, queue.word[event] ?? 0]),
  };
}

/** Puts all back as it was. Throws WrongState, and changes nothing, where it was another circuit's. */
export function restoreState(held: HeldParts, state: SimulatorState): void {
  const { queue, pending, driverCount, firstTimer } = held;
  const isSame = (array: ArrayLike<number>, index: number) => array.length === state.arrays[index]?.length;
  const isMine = held.arrays.length === state.arrays.length && held.arrays.every(isSame);
  const isInRange = ([time, target]: readonly number[]) =>
    time !== undefined && time >= state.now && target !== undefined && target >= 0 && target < firstTimer;
  if (!isMine || held.memories.length !== state.memories.length || !state.events.every(isInRange)) {
    throw new WrongState();
  }
  held.arrays.forEach((array, index) => array.set(state.arrays[index] ?? []));
  held.memories.forEach((memory, index) => (memory.pinState = state.memories[index] ?? []));
  queue.clear(state.now);
  pending.clear();
  for (const [time, target, word] of state.events) {
    if (target < driverCount) pending.put(target, time, word);
    else queue.put(time, target, word);
  }
}
