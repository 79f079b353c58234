import { forEachStreak } from "./light.js";
import type { Displacement, Scan } from "./scan.js";
import type { VideoNets } from "./video.js";
import type { Waveform } from "./waveform.js";

/** What light in the back porch does to the picture, on the line where it does most. */
export interface BlackLevelError {
  /** Lines of the picture with light in their back porch. */
  readonly lines: number;
  /** By how much black is taken too high in each colour, as a share of full brightness: 0 to 1. */
  readonly red: number;
  readonly green: number;
  readonly blue: number;
}

/** The end of the back porch may be lit this far, in dots, by video that comes early. As elsewhere, our own choice. */
const SLACK = 0.5;

/**
 * A monitor that takes black in the back porch takes the mean level there (its own window may be shorter; our own choice).
 * What it takes too high is missing from every dot of the line: all grows darker by it, and what is darker than that turns
 * black. Undefined where no light is found.
 */
export function findBlackLevelError(
  scan: Scan,
  video: VideoNets,
  displacement: Displacement,
): BlackLevelError | undefined {
  const { raster, firstDot } = scan;
  const from = raster.h.sync - firstDot;
  const to = -raster.h.borderEachSide - (raster.h.borderEachSide === 0 ? SLACK : 0);
  const lit = new Map<number, [red: number, green: number, blue: number]>();
  for (const { net, colour, weight } of weighted(video)) {
    forEachStreak(scan, [net], ({ line, left, right }) => {
      const row = line.row - displacement.rows;
      if (row < 0 || row >= raster.v.active) return;
      const width = Math.min(right - displacement.dots, to) - Math.max(left - displacement.dots, from);
      if (width <= 0) return;
      const levels = lit.get(row) ?? [0, 0, 0];
      lit.set(row, levels);
      for (const index of colour) levels[index] += (weight * width) / (to - from);
    });
  }
  const worst = [...lit.values()].sort((a, b) => sum(b) - sum(a))[0];
  if (!worst || sum(worst) < LEAST) return undefined;
  const [red, green, blue] = worst;
  return { lines: lit.size, red, green, blue };
}

/** Less is rounding, not light. */
const LEAST = 1e-4;

type ColourIndex = 0 | 1 | 2;

/** Every net with the colours that it is part of and its share of their full brightness. */
function weighted(video: VideoNets): { net: Waveform; colour: readonly ColourIndex[]; weight: number }[] {
  if (video.kind === "mono") return [{ net: video.net, colour: [0, 1, 2], weight: 1 }];
  return ([video.red, video.green, video.blue] as const).flatMap((nets, index) =>
    nets.map((net, place) => ({
      net,
      colour: [index as ColourIndex],
      weight: 2 ** (nets.length - 1 - place) / (2 ** nets.length - 1),
    })),
  );
}

function sum(levels: readonly number[]): number {
  return levels.reduce((total, level) => total + level, 0);
}

const NAMES = ["red", "green", "blue"] as const;
/** What is left of white where colours are missing: one bit each for red, green, blue. */
const TINTS = ["", "yellow", "magenta", "red", "cyan", "green", "blue", ""] as const;

/** What a person sees of it, in a sentence. */
export function describeBlackLevel({ lines, red, green, blue }: BlackLevelError): string {
  const levels = [red, green, blue];
  const where = lines === 1 ? "On that line" : `On ${lines} lines`;
  const most = Math.max(...levels);
  if (levels.every((level) => most - level < 0.005)) {
    return (
      `${where} a monitor takes black up to ${percent(most)} of white too high: white shines at ${percent(1 - most)}, ` +
      `and what is darker than ${percent(most)} turns black.`
    );
  }
  const parts = NAMES.flatMap((name, index) => {
    const level = levels[index] ?? 0;
    return level >= 0.005 ? [`${name} by ${percent(level)}`] : [];
  });
  const missing = levels.reduce((bits, level) => 2 * bits + (level > most / 2 ? 1 : 0), 0);
  const tint = TINTS[missing];
  return `${where} a monitor takes black too high, ${parts.join(", ")} of full${tint ? `: white turns towards ${tint}` : ""}.`;
}

function percent(share: number): string {
  const value = 100 * share;
  return `${value.toFixed(value > 0 && value < 10 ? 1 : 0)} %`;
}
