import {
  type Fs,
  type Range,
  type Reading,
  fs,
  isMisread,
  parseCelsiusRange,
  parseTime,
  parseVoltRange,
} from "../quantity/index.js";
import { DEFAULT_UNSTATED_MINIMUM } from "../parts/index.js";
import type { BuildStyle, Supply } from "./circuit.js";
import * as say from "./messages.js";
import { OPEN, railOf } from "./names.js";
import type { FileContext } from "./file-context.js";
import { DEFAULTS } from "./shape.js";
import type { Sections } from "./sections.js";
import type { Path } from "./value.js";

/** What a file says about the whole board. Where it is wrong, the default stands in and the report says why. */
export interface Header {
  readonly title: string;
  readonly raster: string;
  readonly supplies: readonly [Supply, ...Supply[]];
  readonly ambientCelsius: Range;
  readonly build: BuildStyle;
  readonly fractionOfTypical: number;
  readonly makers: ReadonlyMap<string, string>;
  readonly allowedContention: Fs;
  readonly allowedUndriven?: Fs;
}

/** The rasters that can be named: the one that a name means, or names that are near. */
export type FindRaster = (name: string) => { readonly found: boolean; readonly nearest?: readonly string[] };

/** A longer text is no raster's name and is not looked for. */
const LONGEST_NAME = 64;

export function readHeader(sections: Sections, context: FileContext, findRaster: FindRaster | undefined): Header {
  const { title = "", raster = "", limits } = sections;
  if (sections.title !== undefined && title.trim() === "") context.complain(["title"], say.emptyTitle());
  if (sections.raster !== undefined) checkRaster(raster, context, findRaster);
  const limit = (key: keyof Sections["limits"]) =>
    limits[key] === undefined ? undefined : leastTime(context, ["limits", key], limits[key]);
  const undriven = limit("undriven");
  return {
    title: title.trim(),
    raster,
    supplies: readSupplies(sections.supply ?? DEFAULTS.supply, context),
    ambientCelsius: readAmbient(sections.ambient ?? DEFAULTS.ambient, context),
    build: sections.build ?? DEFAULTS.build,
    fractionOfTypical: readShare(sections.unstatedMinimum ?? DEFAULTS["unstated minimum delays"], context),
    makers: new Map(Object.entries(sections.makers)),
    allowedContention: limit("contention") ?? fs(0),
    ...(undriven === undefined ? {} : { allowedUndriven: undriven }),
  };
}

function checkRaster(name: string, context: FileContext, findRaster: FindRaster | undefined): void {
  const lookup = name.length > LONGEST_NAME ? { found: false } : findRaster?.(name);
  if (lookup && !lookup.found) context.complain(["raster"], say.unknownRaster(name, lookup.nearest ?? []));
}

/** Reads a quantity, or complains. */
export function quantity<T>(
  context: FileContext,
  path: Path,
  text: string,
  parse: (text: string) => Reading<T>,
): T | undefined {
  const reading = parse(text);
  if (!isMisread(reading)) return reading.value;
  context.complain(path, say.quantity(path, reading.wrong, reading.expected));
  return undefined;
}

/** Reads a time that is at least `least`, or complains. */
export function leastTime(context: FileContext, path: Path, text: string, least: Fs = fs(0)): Fs | undefined {
  const time = quantity(context, path, text, parseTime);
  if (time === undefined || time >= least) return time;
  context.complain(path, say.timeTooShort(path, text, least));
  return undefined;
}

function readAmbient(text: string, context: FileContext): Range {
  const standIn = { min: 0, max: 70 };
  const found = quantity(context, ["ambient"], text, parseCelsiusRange);
  if (!found || (found.min >= -55 && found.max <= 125)) return found ?? standIn;
  context.complain(["ambient"], say.ambientOutOfReach(text));
  return standIn;
}

function readSupplies(written: string | Readonly<Record<string, string>>, context: FileContext): Header["supplies"] {
  if (typeof written === "string") return [{ name: "main", volts: readVolts(["supply"], written, context) }];
  const supplies = Object.entries(written).map(([name, text], index): Supply => {
    const path = ["supply", name];
    // The main supply is the rail `high`; the others are rails by their own names.
    const isName = /^\w[\w.]*$/.test(name) && (index === 0 || (railOf(name) === undefined && name !== OPEN));
    if (!isName) context.complainOfKey(path, say.badSupplyName(name));
    return { name, volts: readVolts(path, text, context) };
  });
  const [main, ...others] = supplies;
  if (main) return [main, ...others];
  context.complain(["supply"], say.noSupply());
  return [{ name: "main", volts: STAND_IN_SUPPLY }];
}

const STAND_IN_SUPPLY: Range = { min: 4.5, max: 5.5 };

function readVolts(path: Path, text: string, context: FileContext): Range {
  const found = quantity(context, path, text, parseVoltRange);
  if (!found || (found.min > 0 && found.max <= 24)) return found ?? STAND_IN_SUPPLY;
  context.complain(path, say.supplyOutOfReach(text));
  return STAND_IN_SUPPLY;
}

const SHARES: Readonly<Record<string, number>> = { zero: 0, quarter: 0.25, third: 1 / 3, half: 0.5 };

/** Reads `zero`, `quarter of typical`, `0.3 of typical` to a fraction. */
function readShare(text: string, context: FileContext): number {
  const word = /^(\S+) of typical$/.exec(text.trim())?.[1] ?? (text.trim() === "zero" ? "zero" : "");
  const share = Object.hasOwn(SHARES, word) ? SHARES[word] : /^\d+(\.\d+)?$/.test(word) ? Number(word) : undefined;
  if (share !== undefined && share <= 1) return share;
  context.complain(["unstated minimum delays"], say.badShare(text));
  return DEFAULT_UNSTATED_MINIMUM.fractionOfTypical;
}
