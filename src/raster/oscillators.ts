/** How long an oscillator of a monitor takes for one line or frame, in femtoseconds: by itself, at least and at most. */
export interface Hold {
  readonly free: number;
  readonly least: number;
  readonly most: number;
}

/**
 * Share of an error in phase that the line oscillator takes out at once, and that it takes into its period. It then follows
 * within some ten lines, as a picture tube's does. Our own choice.
 */
const PHASE_GAIN = 0.3;
const PERIOD_GAIN = 0.03;

/**
 * When a picture tube's line oscillator begins its lines: it follows the mean of many sync edges, goes on by itself where
 * none come, and leaves its limits for none. `edges` rise, in femtoseconds.
 */
export function lineStarts(edges: Float64Array, fromFs: number, untilFs: number, hold: Hold): number[] {
  const starts: number[] = [];
  let [time, period, next] = [edges[0] ?? fromFs, hold.free, 0];
  while (time < untilFs) {
    if (time >= fromFs) starts.push(time);
    const due = time + period;
    while (next + 1 < edges.length && (edges[next + 1] ?? 0) <= due) next++;
    const error = nearest(due, edges[next], edges[next + 1]);
    // An edge half a line away tells nothing of where this line should begin.
    const isNear = Math.abs(error) < period / 2;
    period = clamp(isNear ? period + PERIOD_GAIN * error : period + PERIOD_GAIN * (hold.free - period), hold);
    time += clamp(isNear ? due - time + PHASE_GAIN * error : period, hold);
  }
  return starts;
}

/**
 * When a picture tube's field oscillator returns to the top: with the first sync edge that comes when it is ready for one, or
 * by itself where none comes in time.
 */
export function fieldStarts(edges: Float64Array, fromFs: number, untilFs: number, hold: Hold): number[] {
  const starts: number[] = [];
  let [time, next] = [edges[0] ?? fromFs, 0];
  while (time < untilFs) {
    if (time >= fromFs) starts.push(time);
    while ((edges[next] ?? Infinity) < time + hold.least) next++;
    const edge = edges[next];
    if (edge === undefined) time += hold.free;
    else time = Math.min(edge, time + hold.most);
  }
  return starts;
}

function nearest(due: number, before: number | undefined, after: number | undefined): number {
  const [early, late] = [(before ?? -Infinity) - due, (after ?? Infinity) - due];
  return Math.abs(early) <= Math.abs(late) ? early : late;
}

function clamp(time: number, { least, most }: Hold): number {
  return Math.min(most, Math.max(least, time));
}
