/** An extent along a row, in px. */
export interface Extent {
  readonly left: number;
  readonly right: number;
}

/**
 * Puts each item into the first row where it overlaps none of those already there; they may touch. Returns the row of each
 * item, from 0, in the order of the items; earlier items get the nearer rows.
 */
export function packRows(items: readonly Extent[]): number[] {
  const rows: Extent[][] = [];
  return items.map((item) => {
    const isFree = (row: readonly Extent[]) => row.every(({ left, right }) => item.right <= left || right <= item.left);
    const free = rows.findIndex(isFree);
    const index = free < 0 ? rows.length : free;
    (rows[index] ??= []).push(item);
    return index;
  });
}

/** A stretch of `width` centred on `middle`, shifted as little as it takes to lie inside `within`. */
export function centredWithin(middle: number, width: number, within: Extent): Extent {
  const left = Math.max(within.left, Math.min(middle - width / 2, within.right - width));
  return { left, right: left + width };
}
