import { inHertz } from "./frequency.js";
import { type PublishedRaster, publishedRasters } from "./published.js";
import { fieldRate } from "./raster.js";

/** What a name in a circuit file stands for. */
export type RasterLookup =
  | {
      readonly found: true;
      readonly raster: PublishedRaster;
      /** Others that the same short name could mean; empty when an id was given. */
      readonly others: readonly PublishedRaster[];
    }
  | {
      readonly found: false;
      /** Names of rasters that are near, nearest first, at most three. */
      readonly nearest: readonly string[];
    };

/** Picture size, vertical rate as typed with its number of decimals, and whether reduced blanking is asked for. */
interface ShortName {
  readonly width: number;
  readonly height: number;
  readonly interlace: boolean;
  readonly rate: number;
  readonly decimals: number;
  readonly reduced: boolean;
}

/**
 * The raster that a circuit file names, by its id (`dmt-0x04`, `vic-1`) or by size and vertical rate (`640x480@60`,
 * `640x480@59.94`, `1024x768i@87`, `1280x800@60-rb`). A short name means, in this order: a raster whose rate rounds to the
 * one typed; of the first table that has one (VESA DMT before CTA-861 before the others); without reduced blanking unless
 * the name ends in `-rb`; the one whose rate is nearest. So `640x480@60` is VESA DMT 0x04 at 59.94 Hz.
 */
export function findRaster(name: string): RasterLookup {
  const wanted = tidy(name);
  const exact = publishedRasters.find((raster) => raster.id === wanted);
  if (exact) return { found: true, raster: exact, others: [] };

  const short = parseShortName(wanted);
  if (!short) return { found: false, nearest: nearestBySpelling(wanted) };

  const [raster, ...others] = inOrderOfPreference(short);
  return raster ? { found: true, raster, others } : { found: false, nearest: nearestByNumbers(short) };
}

/** The short name by which people call a raster: `640x480@60`, `1024x768i@87`. */
export function shortName(raster: PublishedRaster): string {
  const { width, height } = pictureSize(raster);
  const rate = Math.round(inHertz(fieldRate(raster)));
  return `${width}x${height}${raster.interlace ? "i" : ""}@${rate}${raster.reducedBlanking === undefined ? "" : "-rb"}`;
}

function tidy(name: string): string {
  return name
    .toLowerCase()
    .replace(/\s+/g, "")
    .replace("×", "x")
    .replace(/(\d)hz$/, "$1");
}

function parseShortName(name: string): ShortName | undefined {
  const match = /^(\d{1,5})x(\d{1,5})(i?)@(\d{1,3})(?:\.(\d{1,6}))?(-rb)?$/.exec(name);
  if (!match) return undefined;
  const [, width, height, interlace, whole, fraction = "", reduced] = match;
  return {
    width: Number(width),
    height: Number(height),
    interlace: interlace === "i",
    rate: Number(`${whole}.${fraction}`),
    decimals: fraction.length,
    reduced: reduced !== undefined,
  };
}

function inOrderOfPreference(short: ShortName): PublishedRaster[] {
  const step = 10 ** -short.decimals;
  const candidates = publishedRasters.filter(
    (raster) => hasSize(raster, short) && rateError(raster, short) <= step / 2 && (!short.reduced || isReduced(raster)),
  );
  const first = candidates[0];
  if (!first) return [];
  // publishedRasters keeps the tables in order, and sort is stable, so the others stay in that order too.
  const ofFirstTable = candidates.filter((raster) => raster.family === first.family);
  const preferred = ofFirstTable.sort(
    (a, b) => Number(isReduced(a)) - Number(isReduced(b)) || rateError(a, short) - rateError(b, short),
  );
  return [...preferred, ...candidates.filter((raster) => raster.family !== first.family)];
}

function hasSize(raster: PublishedRaster, short: ShortName): boolean {
  const { width, height } = pictureSize(raster);
  return width === short.width && height === short.height && raster.interlace === short.interlace;
}

/** Size as tables name it: the dots of one line and the rows of the picture, repeats not counted. */
function pictureSize(raster: PublishedRaster): { width: number; height: number } {
  return { width: raster.h.active / raster.dotRepeat, height: raster.v.active / raster.rowRepeat };
}

function isReduced(raster: PublishedRaster): boolean {
  return raster.reducedBlanking !== undefined;
}

function rateError(raster: PublishedRaster, short: ShortName): number {
  return Math.abs(inHertz(fieldRate(raster)) - short.rate);
}

function nearestByNumbers(short: ShortName): string[] {
  const distance = (raster: PublishedRaster): number => {
    const { width, height } = pictureSize(raster);
    const size = Math.abs(Math.log(width / short.width)) + Math.abs(Math.log(height / short.height));
    const interlace = raster.interlace === short.interlace ? 0 : 0.5;
    return size * 10 + interlace + Math.abs(Math.log(inHertz(fieldRate(raster)) / short.rate));
  };
  return nearestThree(publishedRasters.map((raster) => ({ name: shortName(raster), distance: distance(raster) })));
}

function nearestBySpelling(name: string): string[] {
  const names = publishedRasters.flatMap((raster) => [raster.id, shortName(raster)]);
  const near = names
    .map((candidate) => ({ name: candidate, distance: editDistance(name.slice(0, 40), candidate) }))
    .filter(({ name: candidate, distance }) => distance <= candidate.length / 2);
  return nearestThree(near);
}

function nearestThree(names: { name: string; distance: number }[]): string[] {
  const sorted = names.filter(({ distance }) => Number.isFinite(distance)).sort((a, b) => a.distance - b.distance);
  return [...new Set(sorted.map(({ name }) => name))].slice(0, 3);
}

/** Insertions, deletions and replacements that turn one word into the other (Levenshtein distance). */
function editDistance(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, column) => column);
  for (let i = 0; i < from.length; i++) {
    const next = [i + 1];
    for (let j = 0; j < to.length; j++) {
      const replaced = (row[j] ?? 0) + (from[i] === to[j] ? 0 : 1);
      next.push(Math.min(replaced, (row[j + 1] ?? 0) + 1, (next[j] ?? 0) + 1));
    }
    row = next;
  }
  return row[to.length] ?? 0;
}
