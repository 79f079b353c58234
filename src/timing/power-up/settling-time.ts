/** What something does to every state of a part, in one tick of the repetition of what the part reads. */
export interface StateEvent {
  readonly tick: number;
  readonly map: Int32Array;
}

/** Steps of states beyond which the longest way is bounded rather than found. */
const MOST_STEPS = 1 << 24;

/**
 * The most ticks from any of the states to start from, at any tick of the repetition, until it is one of those that belong
 * there; undefined where that takes too many steps to find. All of them must come there in the end.
 *
 * @param events all ticks in which some state changes, in order; the repetition lasts `ticks`
 * @param belongs the states that belong to the cycle after each event
 */
export function settlingTicks(
  from: Int32Array,
  ticks: number,
  events: readonly StateEvent[],
  belongs: (event: number) => ReadonlySet<number>,
): number | undefined {
  const stamp = new Int32Array(events[0]?.map.length ?? 0);
  let stamped = 0;
  let steps = 0;
  let most = 0;
  // The longest wait begins right after an event: any later start meets the same events.
  for (let start = 0; start < events.length; start++) {
    let states = from.slice();
    const isOver = (event: number) => {
      const own = belongs(event);
      return states.length <= own.size && states.every((state) => own.has(state));
    };
    if (isOver(start)) continue;
    for (let passed = 1; ; passed++) {
      const event = (start + passed) % events.length;
      const { map, tick } = events[event] as StateEvent;
      stamped++;
      steps += states.length;
      let kept = 0;
      for (const state of states) {
        const after = map[state] as number;
        if (stamp[after] === stamped) continue;
        stamp[after] = stamped;
        states[kept++] = after;
      }
      states = states.subarray(0, kept);
      if (steps > MOST_STEPS) return undefined;
      if (!isOver(event)) continue;
      const rounds = Math.floor((start + passed) / events.length);
      most = Math.max(most, rounds * ticks + tick - (events[start]?.tick ?? 0));
      break;
    }
  }
  return most;
}
