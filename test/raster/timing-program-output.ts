import { readFileSync } from "node:fs";
import { type Polarity, type Raster, inHertz } from "../../src/raster/index.js";

/** The numbers of a raster as the timing programs print them. */
export interface PrintedTiming {
  readonly active: readonly [number, number];
  readonly interlace: boolean;
  readonly dotClockMHz: number;
  readonly h: readonly [frontPorch: number, sync: number, backPorch: number, border: number];
  readonly v: readonly [frontPorch: number, sync: number, backPorch: number, border: number];
  readonly polarity: readonly [Polarity, Polarity];
}

/** What a timing program printed once; used where the program is not installed. */
export interface FrozenOutput {
  readonly source: string;
  readonly command: readonly [string, ...string[]];
  readonly output: readonly string[];
}

export const frozenOutputs = JSON.parse(
  readFileSync(new URL("../data/timing-programs.json", import.meta.url), "utf8"),
) as readonly FrozenOutput[];

/** Reads the long form that edid-decode prints for one raster. */
export function readEdidDecode(lines: readonly string[]): PrintedTiming & { readonly fieldRateHz: number } {
  const text = lines.join("\n");
  const size = /(\d+)x(\d+)(i?)\s+([\d.]+) Hz.* ([\d.]+) MHz/.exec(text);
  if (!size) throw new Error(`not a timing: ${text}`);
  const axis = (name: "H" | "V") => {
    const part = (what: string) => Number(new RegExp(`${name}${what} +(-?\\d+)`).exec(text)?.[1] ?? 0);
    return [part("front"), part("sync"), part("back"), part("border")] as const;
  };
  const polarity = (name: string): Polarity => (text.includes(`${name}pol P`) ? "positive" : "negative");
  return {
    active: [Number(size[1]), Number(size[2])],
    interlace: size[3] === "i",
    fieldRateHz: Number(size[4]),
    dotClockMHz: Number(size[5]),
    h: axis("H"),
    v: axis("V"),
    polarity: [polarity("H"), polarity("V")],
  };
}

/** Reads the mode line that xcvt prints. */
export function readModeline(lines: readonly string[]): PrintedTiming {
  const line = lines.find((candidate) => candidate.startsWith("Modeline")) ?? "";
  const [clock = 0, hActive = 0, hStart = 0, hEnd = 0, hTotal = 0, vActive = 0, vStart = 0, vEnd = 0, vTotal = 0] = line
    .replace(/"[^"]*"/, "")
    .split(/\s+/)
    .map(Number)
    .filter((number) => !Number.isNaN(number));
  return {
    active: [hActive, vActive],
    interlace: false,
    dotClockMHz: clock,
    h: [hStart - hActive, hEnd - hStart, hTotal - hEnd, 0],
    v: [vStart - vActive, vEnd - vStart, vTotal - vEnd, 0],
    polarity: [line.includes("+hsync") ? "positive" : "negative", line.includes("+vsync") ? "positive" : "negative"],
  };
}

/** The numbers of one of our rasters in the same shape. */
export function asPrinted(raster: Raster): PrintedTiming {
  const { h, v } = raster;
  return {
    active: [h.active, v.active],
    interlace: raster.interlace,
    dotClockMHz: inHertz(raster.dotClock) / 1e6,
    h: [h.frontPorch, h.sync, h.backPorch, h.borderEachSide],
    v: [v.frontPorch, v.sync, v.backPorch, v.borderEachSide],
    polarity: [h.polarity, v.polarity],
  };
}

/** The command of edid-decode that prints a raster, from its id; undefined for rasters that come from elsewhere. */
export function edidDecodeArguments(raster: Raster): readonly string[] | undefined {
  return /--(?:dmt|vic|cvt|gtf) \S+/.exec(raster.source)?.[0].split(" ");
}
