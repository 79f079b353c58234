/**
 * The candidate that `name` was most likely meant to be, or undefined where none is near. Capitals do not count, a missing
 * or superfluous `#` counts half a letter, an exchange of neighbours one letter; up to a third of the letters may differ.
 * Among equals the first candidate is taken.
 */
export function nearest(name: string, candidates: Iterable<string>): string | undefined {
  const wanted = letters(name);
  if (wanted.length > 64) return undefined;
  let best: string | undefined;
  let least = 2 * Math.max(1, Math.floor((wanted.length + 1) / 3)) + 2;
  for (const candidate of candidates) {
    if (candidate === name) continue;
    const known = letters(candidate);
    if (2 * Math.abs(known.length - wanted.length) >= least) continue;
    const distance = 2 * editDistance(wanted, known) + (name.includes("#") === candidate.includes("#") ? 0 : 1);
    if (distance < least && distance < 2 * Math.max(wanted.length, known.length)) {
      [best, least] = [candidate, distance];
    }
  }
  return best;
}

function letters(name: string): string {
  return name.toLowerCase().replaceAll("#", "");
}

/** Optimal string alignment distance: insertions, deletions, replacements and exchanges of neighbours. */
function editDistance(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = (last[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      let cost = Math.min((last[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, replaced);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        cost = Math.min(cost, (beforeLast[j - 2] ?? 0) + 1);
      }
      row.push(cost);
    }
    [beforeLast, last] = [last, row];
  }
  return last[b.length] ?? 0;
}
