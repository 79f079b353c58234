import type { Circuit } from "../circuit/index.js";
import { type Check, type RuleName, placeOf } from "./check.js";
import { type PlaceResult, explore } from "./explore.js";
import { type Model, buildModel } from "./model.js";

/** Several lines of any published raster. */
const REFINED_TICKS = 16_384;

/** What was found at a place, and the model whose times it speaks of. */
export interface Found {
  readonly model: Model;
  readonly place: PlaceResult;
}

/**
 * Where slots overlap, the changes of an address or of a byte run into each other, and the bounds of the whole say that a
 * capture fails but not by how much. Such failures are judged again over the first lines, with the causes of different ticks
 * kept apart and the signals from outside quiet, so that each edge is held against the capture that it is meant for. A place
 * where that finds nothing keeps its first, wider margin: no failure is ever taken back.
 */
export function refine(
  circuit: Circuit,
  model: Model,
  places: readonly PlaceResult[],
  progress?: () => void,
): readonly Found[] {
  const found = new Map(places.map((place) => [placeOf(place.worst), { model, place }]));
  const joined = places.filter(({ worst }) => worst.isJoined);
  if (joined.length === 0) return [...found.values()];
  const apart = buildModel(circuit, 0, Infinity, { keepsTicksApart: true, control: model.control.nets });
  const again = explore(apart, { ticks: REFINED_TICKS, progress }).places.filter(({ worst }) => fails(worst));
  for (const { worst, count } of joined) {
    const told = again.filter((other) => captures.has(other.worst.rule) && isAtPin(other.worst, worst));
    // Where some change still lies around its capture as a whole, nothing else at the pin says by how much that fails.
    if (told.length === 0 || told.some((other) => other.worst.isJoined)) continue;
    found.delete(placeOf(worst));
    for (const place of told) {
      const known = found.get(placeOf(place.worst))?.place.worst;
      if (known && !known.isJoined && marginOf(known) <= marginOf(place.worst)) continue;
      found.set(placeOf(place.worst), { model: apart, place: { ...place, count } });
    }
  }
  return [...found.values()];
}

const captures: ReadonlySet<RuleName> = new Set<RuleName>(["set-up", "hold", "memory read", "memory write"]);

function isAtPin(one: Check, other: Check): boolean {
  return one.chip === other.chip && one.pin === other.pin;
}

function marginOf({ available, required }: Check): number {
  return available - required;
}

function fails(check: Check): boolean {
  return marginOf(check) < 0;
}
