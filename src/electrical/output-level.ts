import type { CurrentPoint, OutputFigures, SupplyPoint } from "../parts/index.js";
import { type Microvolts, type Nanoamps, microvolts } from "../quantity/index.js";

/**
 * The lowest high level that an output guarantees at a supply and a current out of it; undefined where it is asked for more
 * current than its sheet guarantees a level at.
 *
 * Between two printed currents the level lies on the line between the printed ones: the true curve bends the safe way, as an
 * output's resistance grows with its current. Below the least printed current the level of that current holds. What is
 * printed at a supply holds at higher ones, and of a CMOS output the drop below the supply does. Below the lowest printed
 * supply a high level falls with it, volt for volt.
 */
export function highLevelAt(
  { high, followsSupply }: OutputFigures,
  supply: Microvolts,
  current: Nanoamps,
): Microvolts | undefined {
  const found = suppliesIn(high).flatMap(({ supply: printed, points }) => {
    const level = levelAtCurrent(points, current);
    return level === undefined ? [] : [{ supply: printed, level }];
  });
  const below = found.filter((point) => point.supply <= supply);
  const candidates = below.map((point) => point.level + (followsSupply ? supply - point.supply : 0));
  const last = below.at(-1);
  const next = found.find((point) => point.supply > supply);
  if (last && next) candidates.push(onLine(last, next, supply));
  if (candidates.length > 0) return Math.floor(Math.max(...candidates)) as Microvolts;
  const [lowest] = suppliesIn(high);
  const [first] = found;
  if (!first || !lowest || first.supply !== lowest.supply) return undefined;
  return (first.level - (first.supply - supply)) as Microvolts;
}

/** The highest low level that an output guarantees; as `highLevelAt`, but a low level does not fall with the supply. */
export function lowLevelAt({ low }: OutputFigures, supply: Microvolts, current: Nanoamps): Microvolts | undefined {
  const all = suppliesIn(low);
  const usable = all.filter((group) => group.supply <= supply);
  const levels = (usable.length > 0 ? usable : all.slice(0, 1)).flatMap(
    ({ points }) => levelAtCurrent(points, current) ?? [],
  );
  return levels.length === 0 ? undefined : (Math.ceil(Math.min(...levels)) as Microvolts);
}

/** The most current at which an output guarantees a level at a supply. */
export function mostCurrent(points: readonly CurrentPoint[], supply: Microvolts): Nanoamps {
  const all = suppliesIn(points);
  const usable = all.filter((group) => group.supply <= supply);
  const groups = usable.length > 0 ? usable : all.slice(0, 1);
  return Math.max(0, ...groups.flatMap((group) => group.points.map(({ current }) => current))) as Nanoamps;
}

/** VIH or VIL at a supply: on the line between printed supplies, and beyond them as at the nearest one. */
export function thresholdAt(points: readonly SupplyPoint[], supply: Microvolts): Microvolts {
  const last = points.filter((point) => point.supply <= supply).at(-1);
  const next = points.find((point) => point.supply > supply);
  if (last && next) return Math.round(onLine(last, next, supply)) as Microvolts;
  return (last ?? next)?.level ?? microvolts(0);
}

interface AtSupply {
  readonly supply: Microvolts;
  readonly points: readonly CurrentPoint[];
}

function suppliesIn(points: readonly CurrentPoint[]): readonly AtSupply[] {
  const supplies = [...new Set(points.map(({ supply }) => supply))];
  return supplies.map((supply) => ({ supply, points: points.filter((point) => point.supply === supply) }));
}

/** In microvolts, not yet whole. */
function levelAtCurrent(points: readonly CurrentPoint[], current: Nanoamps): number | undefined {
  const last = points.filter((point) => point.current <= current).at(-1);
  const next = points.find((point) => point.current > current);
  if (!next) return last && last.current === current ? last.level : undefined;
  if (!last) return next.level;
  return last.level + ((next.level - last.level) * (current - last.current)) / (next.current - last.current);
}

function onLine(a: { supply: number; level: number }, b: { supply: number; level: number }, supply: number): number {
  return a.level + ((b.level - a.level) * (supply - a.supply)) / (b.supply - a.supply);
}
