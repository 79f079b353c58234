import { isDeepStrictEqual } from "node:util";
import type { Circuit } from "../../src/circuit/index.js";
import { type Check, placeOf } from "../../src/timing/check.js";
import { explore } from "../../src/timing/explore.js";
import { buildModel } from "../../src/timing/model.js";
import { LikeBits } from "../../src/timing/slices/like-bits.js";
import type { Moment } from "../../src/timing/moment.js";
import type { TimeLine } from "../../src/timing/time-line.js";
import { busCircuit } from "./bus-circuit.js";

/** All that an exploration finds, by place; of the delays that decide, every name. */
export function foundIn(
  circuit: Circuit,
  everyBit: boolean,
): { readonly left: number; readonly found: ReadonlyMap<string, unknown> } {
  const model = buildModel(circuit);
  const { places, cycleTicks, leadTicks } = explore(model, { everyBit });
  const found = new Map<string, unknown>(
    places.map(({ worst, tick, count }) => [placeOf(worst), { ...named(model.time, worst), tick, count }]),
  );
  found.set("cycle", [leadTicks, cycleTicks]);
  found.set("missing", [...model.missing].sort());
  return { left: new LikeBits(model, everyBit).count, found };
}

function named(time: TimeLine, { earlier, later, ...told }: Check): object {
  const chain = (moment: Moment | undefined) =>
    moment && [
      time.rootOf(moment.path),
      moment.tick,
      ...time.chain(moment.path).map((variable) => ({ ...variable, id: undefined })),
    ];
  return { ...told, earlier: chain(earlier), later: chain(later) };
}

/** Circuits of these seeds of which following every bit finds anything else, and how many bits and places there were. */
export function compareBuses(firstSeed: number, circuits: number): { differ: number[]; left: number; places: number } {
  const differ: number[] = [];
  let left = 0;
  let places = 0;
  for (let seed = firstSeed; seed < firstSeed + circuits; seed++) {
    const circuit = busCircuit(seed);
    const one = foundIn(circuit, false);
    if (!isDeepStrictEqual(one.found, foundIn(circuit, true).found)) differ.push(seed);
    left += one.left;
    places += one.found.size;
  }
  return { differ, left, places };
}
