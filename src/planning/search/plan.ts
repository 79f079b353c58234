import type { BuildStyle } from "../../circuit/index.js";
import type { Hertz } from "../../quantity/index.js";
import type { PublishedRaster } from "../../raster/index.js";
import type { Counts, Depth, Design, LogicFamily, VideoOutput } from "../design.js";
import type { CountedRaster } from "./geometry.js";
import type { PathMargin } from "./margin.js";
import type { SharingKind } from "./sharing-costs.js";

/** What a byte of the memory is, in a plan; wider than what a circuit can be written of yet. */
export type PlanContent =
  | { readonly kind: "bitmap"; readonly bitsPerDot: number }
  | {
      readonly kind: "text";
      readonly characters: number;
      readonly lines: number;
      readonly characterDots: number;
      readonly characterRows: number;
      readonly characterRom: string;
    };

/** What plans are compared by; how finely, `FIGURE_COLUMNS` says. */
export interface PlanFigures {
  /** The oscillator can among them; an estimate. */
  readonly chips: number;
  /** The least estimated margin in whole nanoseconds. */
  readonly marginNs: number;
  /** Dots of the picture. */
  readonly dots: number;
  readonly colours: number;
  /** How much of what the raster shows is picture, in steps of five per cent. */
  readonly filledPercent: number;
  /** Bytes a second that the processor can write, one after the other. */
  readonly bytesPerSecond: number;
  /** The longest time until the processor's next write is taken, in nanoseconds. */
  readonly longestWaitNs: number;
  /** The processor may have a clock of its own; else the board clocks it. */
  readonly hasOwnClock: boolean;
  /** The processor may read the picture back. */
  readonly canRead: boolean;
  /** The greater deviation of line and frame rate from the raster's, in tenths of a per cent. */
  readonly deviationPercent: number;
  /** Bytes of the addresses that the picture spans, and of those above it. */
  readonly memoryUsed: number;
  readonly memoryLeft: number;
  /** Whole pictures that the memory holds, each from where the address's high bits change. */
  readonly pages: number;
}

/** A way to build a video output that meets the wishes. */
export interface Plan {
  readonly raster: PublishedRaster;
  readonly oscillator: Hertz;
  /** Periods of the oscillator that one dot lasts. */
  readonly divider: number;
  readonly counted: CountedRaster;
  readonly line: Counts;
  readonly frame: Counts;
  readonly columns: number;
  readonly rows: number;
  readonly lineRepeat: number;
  readonly content: PlanContent;
  readonly memory: string;
  readonly sharing: SharingKind;
  readonly family: LogicFamily;
  readonly build: BuildStyle;
  readonly output: VideoOutput;
  readonly processor: string;
  readonly figures: PlanFigures;
  /** Every path of the margin, the tightest first. */
  readonly paths: readonly PathMargin[];
}

/** The design that a plan stands for; undefined, with the reason, where a circuit of it cannot be written yet. */
export function designOf(plan: Plan): Design | { readonly notYet: string } {
  const { content } = plan;
  const phase = (plan.divider * cellDotsOf(content)) / 8;
  if (!Number.isInteger(Math.log2(phase))) return { notYet: "cells whose eighths are no whole oscillator periods" };
  const written = designContent(content);
  if ("notYet" in written) return written;
  return {
    raster: plan.raster,
    oscillator: plan.oscillator,
    divider: plan.divider,
    line: plan.line,
    frame: plan.frame,
    columns: plan.columns,
    rows: plan.rows,
    lineRepeat: plan.lineRepeat,
    content: written,
    memory: plan.memory,
    sharing: designSharing(plan),
    family: plan.family,
    output: plan.output,
    build: plan.build,
  };
}

/** Dots that the byte of one cell shows on a line. */
export function cellDotsOf(content: PlanContent): number {
  return content.kind === "text" ? content.characterDots : 8 / content.bitsPerDot;
}

function designContent(content: PlanContent): Design["content"] | { readonly notYet: string } {
  if (content.kind === "bitmap") {
    const { bitsPerDot } = content;
    return isDepth(bitsPerDot) ? { kind: "bitmap", bitsPerDot } : { notYet: `${bitsPerDot} bits a dot` };
  }
  const { characterDots, characterRows, characterRom } = content;
  if (characterDots !== 8) return { notYet: `characters ${characterDots} dots wide` };
  if (characterRows !== 8 && characterRows !== 16) return { notYet: `characters of ${characterRows} rows` };
  return { kind: "text", characterRom, characterRows };
}

function isDepth(bits: number): bits is Depth {
  return bits === 1 || bits === 2 || bits === 4 || bits === 8;
}

function designSharing({ sharing, processor }: Plan): Design["sharing"] {
  return sharing === "alternate slots" || sharing === "wait states" ? { kind: sharing, processor } : { kind: sharing };
}
