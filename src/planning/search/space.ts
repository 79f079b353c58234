import { type Conditions, DEFAULT_UNSTATED_MINIMUM, stockFrequencies } from "../../parts/index.js";
import { type Hertz } from "../../quantity/index.js";
import { type PublishedRaster, hertz, publishedRasters } from "../../raster/index.js";
import { type LogicProfile, logicProfile } from "./logic-profile.js";
import {
  type MemoryChoice,
  characterRomAccess,
  isMemoryProblem,
  memoriesByDefault,
  memoryChoice,
} from "./memory-choice.js";
import { SHARING_KINDS, type SharingKind } from "./sharing-costs.js";
import type { PlanContent } from "./plan.js";
import type { Wishes } from "./wishes.js";

/** Periods of the oscillator that one dot lasts. */
export const DIVIDERS = [1, 2, 4, 8, 16] as const;

/** Lines on the wire that show one row of dots: powers of two, for which the line counter's low bits are left out. */
const LINE_REPEATS = [1, 2, 4] as const;

const DEPTHS = [1, 2, 4, 8] as const;

const CHARACTER_ROWS = [8, 16] as const;

/** What a picture is made of and how its rows are repeated. */
export interface PictureChoice {
  readonly content: PictureContent;
  readonly lineRepeat: number;
}

/** As `PlanContent`, without what follows from the raster. */
export type PictureContent =
  | { readonly kind: "bitmap"; readonly bitsPerDot: number }
  | { readonly kind: "text"; readonly characterDots: number; readonly characterRows: number };

/** All that is searched: every combination of one of each. */
export interface Space {
  readonly rasters: readonly PublishedRaster[];
  readonly oscillators: readonly Hertz[];
  readonly dividers: readonly number[];
  readonly pictures: readonly PictureChoice[];
  /** Largest first, then fastest. */
  readonly memories: readonly MemoryChoice[];
  readonly sharing: readonly SharingKind[];
  readonly logic: readonly LogicProfile[];
  /** In nanoseconds; absent where the ROM is not on record. */
  readonly characterRom?: number;
}

export function conditionsOf({ supplyVolts, ambientCelsius }: Wishes): Conditions {
  return { supplyVolts, ambientCelsius, unstatedMinimum: DEFAULT_UNSTATED_MINIMUM };
}

/** What is searched for these wishes: lists as they give them, all there is where they do not. */
export function spaceOf(wishes: Wishes): Space {
  const conditions = conditionsOf(wishes);
  const rom = characterRomAccess(wishes.characterRom, conditions);
  const { shows } = wishes;
  const depths = wishes.bitsPerDot ?? DEPTHS;
  const bitmaps = depths.map((bitsPerDot): PictureContent => ({ kind: "bitmap", bitsPerDot }));
  const rows = shows?.kind === "text" && shows.characterRows !== undefined ? [shows.characterRows] : CHARACTER_ROWS;
  const characterDots = shows?.kind === "text" ? shows.characterDots : 8;
  const texts = rows.map((characterRows): PictureContent => ({ kind: "text", characterDots, characterRows }));
  const contents = [
    ...(shows?.kind === "text" ? [] : bitmaps),
    ...(shows?.kind === "picture" || !depths.includes(1) || rom === undefined ? [] : texts),
  ];
  return {
    rasters: wishes.rasters ?? publishedRasters,
    oscillators: wishes.oscillators ?? stockFrequencies.map((megahertz) => hertz(megahertz * 1e6)),
    dividers: DIVIDERS,
    pictures: contents.flatMap((content) => LINE_REPEATS.map((lineRepeat) => ({ content, lineRepeat }))),
    memories: wishes.memories
      ? wishes.memories
          .flatMap((number) => {
            const choice = memoryChoice(number, conditions);
            return isMemoryProblem(choice) ? [] : [choice];
          })
          .sort((a, b) => b.bytes - a.bytes || a.access - b.access)
      : memoriesByDefault(conditions),
    sharing: wishes.sharing ?? SHARING_KINDS,
    logic: (wishes.families ?? (["HC", "fast"] as const)).flatMap((family) => {
      const profile = logicProfile(family, wishes.build, conditions);
      return "missing" in profile ? [] : [profile];
    }),
    ...(rom !== undefined && { characterRom: rom }),
  };
}

/** How many combinations a space has. */
export function sizeOf({ rasters, oscillators, dividers, pictures, memories, sharing, logic }: Space): number {
  return (
    rasters.length *
    oscillators.length *
    dividers.length *
    pictures.length *
    memories.length *
    sharing.length *
    logic.length
  );
}

/** Dots that the byte of one cell shows on a line. */
export function dotsOfCell(content: PictureContent | PlanContent): number {
  return content.kind === "text" ? content.characterDots : 8 / content.bitsPerDot;
}
