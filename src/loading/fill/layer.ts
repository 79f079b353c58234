import type { Font } from "../font/font.js";
import type { ColourImage } from "../picture/colour-image.js";
import type { DitherSettings } from "../picture/dither.js";
import type { Crop, Filter, Fit } from "../picture/fit.js";

/** A place on the screen, in dots of the picture in memory. */
export interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Something that is put on the screen. A place that is not given is the whole screen. */
export type Layer =
  | {
      readonly kind: "picture";
      readonly image: ColourImage;
      readonly place?: Place;
      readonly fit: Fit;
      readonly filter: Filter;
      readonly crop?: Crop;
      readonly tone: DitherSettings;
    }
  | {
      readonly kind: "text";
      readonly text: string;
      readonly font: Font;
      /** In characters where the screen shows characters, in dots otherwise. */
      readonly place?: Partial<Place>;
      readonly align: "left" | "centre" | "right";
      readonly scale: number;
      readonly leading: number;
      /** Dark on light. */
      readonly inverse: boolean;
      /** Number of the letters' colour among the dot's values; the last when absent. */
      readonly colour?: number;
    }
  | { readonly kind: "test card" }
  /** One colour all over: its number among the dot's values. */
  | { readonly kind: "fill"; readonly colour: number; readonly place?: Place }
  /** Bytes at an address of the memory, as the processor counts. */
  | { readonly kind: "bytes"; readonly at: number; readonly bytes: Uint8Array };
