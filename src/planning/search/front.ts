/**
 * Collects rows of figures in groups and keeps in each group those that no other of the group beats. Less is better in every
 * column; of equal rows the first stays.
 */
export class GroupedFront<T> {
  readonly #groups = new Map<number, Member<T>[]>();

  /** Whether a row would stay for now. */
  takes(group: number, row: readonly number[]): boolean {
    const members = this.#groups.get(group);
    if (!members) return true;
    for (const member of members) if (isAsGood(member.row, row)) return false;
    return true;
  }

  /** Adds a row that would stay. */
  put(group: number, row: readonly number[], item: T): void {
    const members = this.#groups.get(group)?.filter((member) => !isAsGood(row, member.row)) ?? [];
    members.push({ row, item });
    this.#groups.set(group, members);
  }

  items(): readonly T[] {
    return [...this.#groups.values()].flatMap((members) => members.map(({ item }) => item));
  }
}

interface Member<T> {
  readonly row: readonly number[];
  readonly item: T;
}

/** Indexes of the rows that no other row beats, in order; less is better in every column. Of equal rows the first stays. */
export function paretoFront(rows: readonly (readonly number[])[]): readonly number[] {
  const front: number[] = [];
  // A row can only be beaten by one with a smaller sum; going by it, whoever is in the front stays there.
  for (const index of bySum(rows)) {
    const row = rows[index] ?? [];
    const winner = front.findIndex((other) => isAsGood(rows[other] ?? [], row));
    if (winner < 0) front.push(index);
    // Who beats one beats many: kept at the head of the list.
    else if (winner > 0) front.unshift(...front.splice(winner, 1));
  }
  return front.sort((a, b) => a - b);
}

/** Whether `one` is at least as good as `other` in every column. */
function isAsGood(one: readonly number[], other: readonly number[]): boolean {
  for (let column = 0; column < one.length; column++) {
    if ((one[column] ?? 0) > (other[column] ?? 0)) return false;
  }
  return true;
}

/** By the sum of the columns, each as a share of its span; of equal sums the first comes first. */
function bySum(rows: readonly (readonly number[])[]): readonly number[] {
  const [first = []] = rows;
  const least = first.map((_, column) => rows.reduce((low, row) => Math.min(low, row[column] ?? 0), Infinity));
  const most = first.map((_, column) => rows.reduce((high, row) => Math.max(high, row[column] ?? 0), -Infinity));
  const share = (value: number, column: number) => {
    const [low, high] = [least[column] ?? 0, most[column] ?? 0];
    return high > low ? (value - low) / (high - low) : 0;
  };
  const sums = rows.map((row) => row.reduce((sum, value, column) => sum + share(value, column), 0));
  return rows.map((_, index) => index).sort((a, b) => (sums[a] ?? 0) - (sums[b] ?? 0) || a - b);
}
