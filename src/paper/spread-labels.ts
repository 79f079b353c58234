/** A label that wants to stand at `centre` along one direction and takes `size` there, in px. */
export interface Wanted {
  readonly centre: number;
  readonly size: number;
}

/**
 * Where each label begins so that none overlaps another, all keep their order, and each stays as near to its place as the
 * others allow. Labels stay between `from` and `to` when there is room for all; else they run over `to`.
 */
export function spreadLabels(labels: readonly Wanted[], from: number, to: number): number[] {
  const order = labels.map((label, index) => ({ label, index })).sort((a, b) => a.label.centre - b.label.centre);
  const begins: number[] = Array.from({ length: labels.length }, () => from);
  let next = from;
  for (const { label, index } of order) {
    const begin = Math.max(next, label.centre - label.size / 2);
    begins[index] = begin;
    next = begin + label.size;
  }
  let limit = Math.max(to, from + labels.reduce((sum, { size }) => sum + size, 0));
  for (const { label, index } of [...order].reverse()) {
    const begin = Math.min(begins[index] ?? from, limit - label.size);
    begins[index] = begin;
    limit = begin;
  }
  return begins;
}
