import type { BuildStyle } from "../circuit/index.js";
import { FS_PER_NS, type Fs, type Hertz } from "../quantity/index.js";
import { type Raster, divide, timeOfCycles } from "../raster/index.js";

/**
 * A video output as it can be written down whole as a circuit: what the search picks among and the writer carries out.
 * Counted are stored dots (those of the picture in memory, which may be several dots of the raster wide), cells (the time of
 * one byte of the display, one memory cycle) and lines on the wire.
 */
export interface Design {
  /** The published raster that a monitor should recognise; what is counted may differ from it inside a monitor's tolerance. */
  readonly raster: Raster;
  /** What the can is marked with. */
  readonly oscillator: Hertz;
  /** Periods of the oscillator that one stored dot lasts. */
  readonly divider: number;
  /** How the time of a line is shared out, in cells. */
  readonly line: Counts;
  /** How the time of a frame is shared out, in lines on the wire. */
  readonly frame: Counts;
  /** The picture in memory, in stored dots; `columns` is a whole number of cells. Its top left dot is the first of the active area. */
  readonly columns: number;
  readonly rows: number;
  /** Lines on the wire that show one row: `frame.active` is `rows * lineRepeat`. */
  readonly lineRepeat: number;
  readonly content: Content;
  /** The static RAM, with its grade: `62256-70`. Eight bits wide. */
  readonly memory: string;
  readonly sharing: Sharing;
  readonly family: LogicFamily;
  readonly output: VideoOutput;
  /** How it is built: sets the wires' delays. */
  readonly build: BuildStyle;
}

/** One direction of a raster in the order in which it is counted from 0. */
export interface Counts {
  readonly active: number;
  readonly frontPorch: number;
  readonly sync: number;
  readonly backPorch: number;
}

/** What a byte of the memory is. */
export type Content =
  /** Dots, leftmost in the highest bits: a byte holds 8 of one bit, 4 of two, 2 of four, 1 of eight. */
  | { readonly kind: "bitmap"; readonly bitsPerDot: Depth }
  /** A character's code; a ROM says what its dots are, eight a line. */
  | {
      readonly kind: "text";
      /** The ROM with its grade: `27C256-120`. Address: code in the high bits, row of the character in the low ones. */
      readonly characterRom: string;
      /** Stored rows of one character. */
      readonly characterRows: 8 | 16;
    };

/** Bits of one dot. */
export type Depth = 1 | 2 | 4 | 8;

/** How screen and processor share the RAM. */
export type Sharing =
  /**
   * Every cell has a slot for the screen and one for the processor, whose byte waits in latches and is written in the next
   * free slot; the processor may write at any time, never waits and cannot read.
   */
  | { readonly kind: "write latch" }
  /**
   * Every cell has a slot for each; the processor is clocked by the board, one cycle a cell, and its bus stands on the
   * RAM in its slot: it reads and writes and never waits. A two-phase bus of the 6502 kind.
   */
  | { readonly kind: "alternate slots"; readonly processor: string }
  /** The RAM is the screen's while the picture is drawn; the processor's byte waits in latches until blanking. */
  | { readonly kind: "blanking only" }
  /** As with alternate slots, but the processor has a clock of its own and is held up until its slot comes. */
  | { readonly kind: "wait states"; readonly processor: string }
  /** Two RAMs: the screen reads the one while the processor fills the other, and they change places in vertical blanking. */
  | { readonly kind: "two banks" };

/**
 * `HC`: 74HC, with faster parts only where it is not guaranteed to serve, for phases of 75 ns and longer. `fast`: what
 * counts in dots is of 74ACT, 74ALS and 74AHCT, for phases of 39 ns and longer; what counts in cells stays 74HC.
 */
export type LogicFamily = "HC" | "fast";

/** What goes down the cable. */
export type VideoOutput =
  /** Both syncs on wires of their own, three colours of 0.7 V. */
  | { readonly kind: "VGA" }
  /** Television's line rate: three colours of 0.7 V and both syncs on one wire. */
  | { readonly kind: "RGB 15 kHz" }
  /** Television's line rate: brightness and both syncs on one wire, 1 V. */
  | { readonly kind: "composite 15 kHz" };

/** Flip-flops in the ring that cuts a cell into phases, whatever the number of its dots. */
export const PHASES = 8;

/**
 * The shortest phase that the ring, its reset and the strobes of a family leave time for, in nanoseconds, by proofs of written
 * circuits: in 74HC one of 79.44 ns left 0.69 ns of the recovery at the ring's reset.
 */
export const LEAST_PHASE_NS: Readonly<Record<LogicFamily, number>> = { HC: 78.75, fast: 39.7 };

/**
 * Whether each shift register has a driver of its own for what loads it, in place of one flip-flop for all: that of quick logic
 * takes 27 ns with four of them, which ask for 16 ns before the clock, and three wires of 1.9.
 */
export function needsLoadDrivers(family: LogicFamily, bitsPerDot: number, phaseNs: number): boolean {
  return family === "fast" && bitsPerDot === 4 && phaseNs < 49;
}

export function hasLoadDrivers(design: Pick<Design, "content" | "divider" | "oscillator" | "family">): boolean {
  return needsLoadDrivers(design.family, bitsPerDot(design), cellTime(design) / FS_PER_NS / PHASES);
}

/** Bits of brightness on one wire at most: the steps of eight would be finer than its resistors. */
export const MOST_GREY_BITS = 4;

/** All that is counted. */
export function totalOf({ active, frontPorch, sync, backPorch }: Counts): number {
  return active + frontPorch + sync + backPorch;
}

/** Bits of the shown picture for each dot: of text one. */
export function bitsPerDot({ content }: Pick<Design, "content">): Depth {
  return content.kind === "bitmap" ? content.bitsPerDot : 1;
}

/** Stored dots that a cell shows. */
export function dotsPerCell(design: Pick<Design, "content">): number {
  return 8 / bitsPerDot(design);
}

/** The rate at which stored dots are shown. */
export function dotRate({ oscillator, divider }: Pick<Design, "oscillator" | "divider">): Hertz {
  return divide(oscillator, divider);
}

/** Periods of the oscillator that one cell lasts. */
export function cellPeriods(design: Pick<Design, "content" | "divider">): number {
  return design.divider * dotsPerCell(design);
}

/** How long a cell, one memory cycle of screen and processor, lasts. */
export function cellTime(design: Pick<Design, "content" | "divider" | "oscillator">): Fs {
  return timeOfCycles(design.oscillator, cellPeriods(design));
}

/** Periods of the oscillator that one phase of the ring lasts: 1, 2, 4 ...; a fraction where the oscillator is too slow. */
export function phasePeriods(design: Pick<Design, "content" | "divider">): number {
  return cellPeriods(design) / PHASES;
}

/** Bits that count the cells of a line that are read, and rows that are read: each row begins at a power of two. */
export function addressBits(design: Design): { readonly column: number; readonly row: number } {
  const cells = design.columns / dotsPerCell(design);
  const rows = design.content.kind === "text" ? design.rows / design.content.characterRows : design.rows;
  return { column: bitsToCount(cells), row: bitsToCount(rows) };
}

/** Bits of a counter that goes through so many states. */
export function bitsToCount(states: number): number {
  return Math.max(1, Math.ceil(Math.log2(states)));
}
