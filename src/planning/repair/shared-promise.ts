import type { Change } from "./change.js";

/**
 * The changes of several lists, each once: first what promises most for all of them together. What has one cause is mended by
 * a change that is in every list, be it at the top of none.
 */
export function bySharedPromise(lists: readonly (readonly Change[])[]): readonly Change[] {
  const found = new Map<string, { readonly change: Change; worth: number }>();
  for (const change of lists.flat()) {
    const key = JSON.stringify(change.edits);
    const known = found.get(key) ?? { change, worth: 0 };
    found.set(key, known);
    // A promise falls with the distance, down to less than nothing; what it adds must not.
    known.worth += 2 ** change.promise;
  }
  return [...found.values()].sort((a, b) => b.worth - a.worth).map(({ change }) => change);
}

/** The first of each list, then the second of each, and so on. */
export function interleave<T>(lists: readonly (readonly T[])[]): readonly T[] {
  const longest = Math.max(0, ...lists.map((list) => list.length));
  return Array.from({ length: longest }, (_, index) => lists.flatMap((list) => list.slice(index, index + 1))).flat();
}
