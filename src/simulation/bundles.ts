import type { Tables } from "./tables.js";

/** Wires of one driver that have the same delay, so that one event serves them all. */
export interface Bundles {
  /** Indices of wires, by driver, then by delay, the longest first, then in the order of the tables. */
  readonly order: Int32Array;
  /** Bundle `i` is `order[start[i]]` up to but not including `order[start[i + 1]]`. */
  readonly start: Int32Array;
  /** Femtoseconds, of each bundle. */
  readonly delay: Float64Array;
  /** Driver `d` has bundles `firstOfDriver[d]` up to but not including `firstOfDriver[d + 1]`. */
  readonly firstOfDriver: Int32Array;
}

/**
 * Sorts the wires into bundles. A clock that is on its way over a long wire then comes before what it causes over a short one
 * in the same moment, as a hold time of zero allows. `delays` has one entry for each wire of the tables, in femtoseconds. */
export function bundleWires({ wires, drivers }: Tables, delays: Float64Array): Bundles {
  const order = wires
    .map((_, wire) => wire)
    .sort((a, b) => (wires[a]?.driver ?? 0) - (wires[b]?.driver ?? 0) || (delays[b] ?? 0) - (delays[a] ?? 0) || a - b);
  const start: number[] = [];
  const delay: number[] = [];
  const firstOfDriver = new Int32Array(drivers.length + 1);
  order.forEach((wire, index) => {
    const driver = wires[wire]?.driver ?? 0;
    const before = order[index - 1];
    const isNew =
      before === undefined || wires[before]?.driver !== driver || (delays[before] ?? 0) !== (delays[wire] ?? 0);
    if (!isNew) return;
    start.push(index);
    delay.push(delays[wire] ?? 0);
    firstOfDriver[driver + 1] = start.length;
  });
  for (let driver = 0; driver < drivers.length; driver++) {
    if (firstOfDriver[driver + 1] === 0) firstOfDriver[driver + 1] = firstOfDriver[driver] ?? 0;
  }
  return {
    order: Int32Array.from(order),
    start: Int32Array.from([...start, order.length]),
    delay: Float64Array.from(delay),
    firstOfDriver,
  };
}
