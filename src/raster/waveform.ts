/** What one net does: a level at first, then changes at the given times. Two levels only; a monitor sees no others. */
export interface Waveform {
  readonly initial: 0 | 1;
  /** Times of the changes in whole femtoseconds, rising; each turns the level over. */
  readonly timesFs: Float64Array;
}

/** Index of the first change later than `timeFs`; the number of changes when there is none. */
export function firstChangeAfter(wave: Waveform, timeFs: number): number {
  let low = 0;
  let high = wave.timesFs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((wave.timesFs[middle] ?? 0) <= timeFs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The level after so many changes. */
export function levelAfterChanges(wave: Waveform, changes: number): 0 | 1 {
  return (wave.initial ^ (changes & 1)) as 0 | 1;
}

/** The level at a time; a change at that very time counts as done. */
export function levelAt(wave: Waveform, timeFs: number): 0 | 1 {
  return levelAfterChanges(wave, firstChangeAfter(wave, timeFs));
}

/**
 * Calls `visit` with the start and end of every stretch in which the net is high, in order, cut to the span. A net high all
 * through gives the whole span.
 */
export function forEachHigh(
  wave: Waveform,
  fromFs: number,
  toFs: number,
  visit: (startFs: number, endFs: number) => void,
): void {
  let change = firstChangeAfter(wave, fromFs);
  let start = fromFs;
  let level = levelAfterChanges(wave, change);
  while (start < toFs) {
    const end = Math.min(wave.timesFs[change] ?? toFs, toFs);
    if (level === 1 && end > start) visit(start, end);
    start = end;
    level = (1 - level) as 0 | 1;
    change++;
  }
}
