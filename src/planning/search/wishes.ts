import type { BuildStyle } from "../../circuit/index.js";
import type { Hertz, Range } from "../../quantity/index.js";
import type { MonitorRange, PublishedRaster } from "../../raster/index.js";
import type { LogicFamily } from "../design.js";
import type { SharingKind } from "./sharing-costs.js";

/**
 * What a builder has and wants. What is absent is left to the search. `shows` says what the picture is to be; everything else
 * narrows the search, so that another wish never brings a plan that was not there before.
 */
export interface Wishes {
  /** Rasters that the monitor takes. */
  readonly rasters?: readonly PublishedRaster[];
  /** Rates that the monitor follows. */
  readonly monitor?: MonitorRange;
  /** Oscillators in the drawer. */
  readonly oscillators?: readonly Hertz[];
  /** Lines a frame, where they are not to be the raster's. */
  readonly lines?: number;
  readonly shows?: PictureWish | TextWish;
  readonly bitsPerDot?: readonly number[];
  /** RAM part numbers. */
  readonly memories?: readonly string[];
  readonly families?: readonly LogicFamily[];
  readonly sharing?: readonly SharingKind[];
  /** At least. */
  readonly bytesPerSecond?: number;
  /** At most, in nanoseconds. */
  readonly longestWaitNs?: number;
  /** At most. */
  readonly chips?: number;
  /** At least, in nanoseconds; nothing below zero is ever planned. */
  readonly marginNs?: number;
  /** Bytes that the picture leaves, at least. */
  readonly memoryLeft?: number;
  /** Of line and frame rate, at most, in per cent. */
  readonly deviationPercent: number;
  readonly composite: boolean;
  readonly processor: string;
  readonly characterRom: string;
  readonly build: BuildStyle;
  readonly supplyVolts: Range;
  readonly ambientCelsius: Range;
}

/** A picture of exactly so many dots. */
export interface PictureWish {
  readonly kind: "picture";
  readonly width: number;
  readonly height: number;
}

/** A page of exactly so many characters. */
export interface TextWish {
  readonly kind: "text";
  readonly characters: number;
  readonly lines: number;
  readonly characterDots: number;
  /** Any of 8 and 16 when absent. */
  readonly characterRows?: number;
}

/** What holds where a builder says nothing. VESA DMT allows the dot clock half a per cent (from memory). */
export const DEFAULT_WISHES: Wishes = {
  deviationPercent: 0.5,
  composite: false,
  processor: "W65C02S",
  characterRom: "27C256-70",
  build: "breadboard",
  supplyVolts: { min: 4.75, max: 5.25 },
  ambientCelsius: { min: 0, max: 50 },
};
