import type { DeskFile } from "../protocol.js";

/** Which bit of which memory shows which dot, ready to be sent from one worker to another. */
export interface SentLayout {
  readonly width: number;
  readonly height: number;
  /** Names of the memory chips. */
  readonly refs: readonly string[];
  readonly nets: readonly {
    readonly memory: Int32Array;
    readonly address: Int32Array;
    readonly bit: Int32Array;
    readonly inverted: Uint8Array;
  }[];
  readonly found: number;
}

/** The picture in memory. */
export interface MemorySize {
  readonly width: number;
  readonly height: number;
  /** Values that a dot can have. */
  readonly values: readonly number[];
  /** The colour of each value, at its place: red, green, blue and full opacity, a byte each. */
  readonly colours: Uint32Array;
}

/** How fast the circuit goes: frames a second of a screen, or half dots a second; 0 where it stands still. */
export interface Pace {
  readonly unit: "frame" | "half dot";
  readonly perSecond: number;
}

export type LiveAsk =
  | { readonly kind: "begin"; readonly file: DeskFile; readonly layout?: SentLayout }
  | { readonly kind: "pace"; readonly pace: Pace }
  | { readonly kind: "step"; readonly unit: "half dot" | "line" | "frame" }
  /** Values of dots of the picture in memory, row by row; -1 leaves a dot as it is. */
  | { readonly kind: "write"; readonly values: Int32Array }
  | { readonly kind: "watch"; readonly lanes: readonly string[]; readonly width: number };

export type LiveTold =
  | {
      readonly kind: "begun";
      readonly width: number;
      readonly height: number;
      /** Absent where no dot can be written. */
      readonly memory?: MemorySize;
      /** Fields a second of the raster as it was measured. */
      readonly framesPerSecond: number;
      /** Nets and buses that can be watched, and those that are at first. */
      readonly lanes: readonly string[];
      readonly watched: readonly string[];
      /** Places where the outcome hangs on delays. */
      readonly doubts: readonly string[];
    }
  | { readonly kind: "cannot"; readonly problem: string }
  | {
      readonly kind: "shown";
      /** Four bytes a dot. */
      readonly rgba: Uint8ClampedArray<ArrayBuffer>;
      /** Frames finished since the last time this was told. */
      readonly frames: number;
      readonly beam?: { readonly line: number; readonly dot: number };
      /** The watched nets over the last dots, as a drawing. */
      readonly waves?: string;
    };
