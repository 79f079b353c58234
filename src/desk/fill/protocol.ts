import type { DeskFile } from "../protocol.js";

/** What is to be shown: a picture first, over it a text. */
export interface Wanted {
  readonly testCard: boolean;
  readonly picture?: Blob;
  readonly fit: string;
  readonly dither: string;
  readonly negative: boolean;
  readonly text: string;
  /** A BDF or console font; the project's own when absent. */
  readonly font?: Blob;
  readonly scale: number;
  readonly align: "left" | "centre" | "right";
  readonly inverse: boolean;
}

/** A file to take away: a memory image, or the C that sends it. */
export type FileKind = "bin" | "hex" | "srec" | "c" | "sender" | "rom";

export type FillAsk =
  | { readonly kind: "begin"; readonly file: DeskFile }
  /** Works out what the memory is to hold, and sends it; `slowness` times as slowly as the circuit allows. */
  | { readonly kind: "fill"; readonly wanted: Wanted; readonly slowness: number }
  | { readonly kind: "file"; readonly of: FileKind; readonly name: string };

export type FillTold =
  | {
      readonly kind: "ready";
      readonly width: number;
      readonly height: number;
      /** Width of a dot over its height on the screen. */
      readonly shape: number;
      readonly sentences: readonly string[];
      readonly hasRom: boolean;
      /** Why nothing can be sent; then the memory is filled at once. */
      readonly noWay?: string;
      readonly fits: readonly string[];
      readonly dithers: readonly string[];
    }
  | { readonly kind: "progress"; readonly share: number }
  | { readonly kind: "cannot"; readonly problem: string }
  /** What came of it, in sentences; the last ones tell how it is sent, line by line. */
  | { readonly kind: "filled"; readonly sentences: readonly string[]; readonly sequence: readonly string[] }
  | {
      readonly kind: "shown";
      /** Four bytes a dot of the picture in memory. */
      readonly rgba: Uint8ClampedArray<ArrayBuffer>;
      readonly sent: number;
      readonly total: number;
      /** Milliseconds of the circuit's time since the first byte. */
      readonly milliseconds: number;
    }
  | { readonly kind: "file"; readonly name: string; readonly content: string | Uint8Array<ArrayBuffer> };
