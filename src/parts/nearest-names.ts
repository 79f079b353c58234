/**
 * The names closest to a mistyped one, nearest first, at most `count`: those that differ by few inserted, dropped, changed
 * or exchanged letters, for "did you mean". Case counts for nothing. Empty where nothing comes close.
 */
export function nearestNames(text: string, names: readonly string[], count = 3): readonly string[] {
  const wanted = text.toUpperCase();
  const limit = Math.max(1, Math.ceil(wanted.length / 3));
  return names
    .map((name) => ({ name, distance: distance(wanted, name.toUpperCase(), limit) }))
    .filter(({ distance }) => distance <= limit)
    .sort((a, b) => a.distance - b.distance || a.name.localeCompare(b.name, "en", { numeric: true }))
    .slice(0, count)
    .map(({ name }) => name);
}

/** Edits between two words, exchanged neighbours counted once; any number above `limit` once it is sure to be more. */
function distance(a: string, b: string, limit: number): number {
  if (Math.abs(a.length - b.length) > limit) return limit + 1;
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = (last[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      let best = Math.min(change, (last[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1);
      if (a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) best = Math.min(best, (before[j - 2] ?? Infinity) + 1);
      row.push(best);
    }
    if (Math.min(...row) > limit) return limit + 1;
    [before, last] = [last, row];
  }
  return last[b.length] ?? 0;
}
