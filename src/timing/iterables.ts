/** The first that is wanted; those after it are not asked for. */
export function find<T>(all: Iterable<T>, isWanted: (one: T) => boolean): T | undefined {
  for (const one of all) if (isWanted(one)) return one;
  return undefined;
}

/** All up to the first that is the last one wanted, itself included; those after it are not asked for. */
export function* upTo<T>(all: Iterable<T>, isLast: (one: T) => boolean): Iterable<T> {
  for (const one of all) {
    yield one;
    if (isLast(one)) return;
  }
}
