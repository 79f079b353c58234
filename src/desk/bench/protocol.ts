import type { BringUpStep, Corners, Finding, KnownBench, Photograph, ScreenSignature } from "../../bench/index.js";
import type { DeskFile } from "../protocol.js";

/** What comes of one board with a fault, as it is sent and kept. */
export interface SentBoard {
  readonly isShorted: boolean;
  readonly wanders: boolean;
  readonly numbers: Float32Array<ArrayBuffer>;
  readonly screens?: readonly [ScreenSignature, ScreenSignature];
}

/** Boards of some neighbouring faults, from a position on. */
export interface Piece {
  readonly from: number;
  readonly boards: readonly SentBoard[];
}

/** What one that simulates boards with faults is asked. */
export type FaultsAsk =
  | { readonly kind: "begin"; readonly file: DeskFile; readonly known: KnownBench }
  | { readonly kind: "simulate"; readonly from: number; readonly to: number };

export type FaultsTold =
  | { readonly kind: "done"; readonly share: number }
  | { readonly kind: "piece"; readonly piece: Piece }
  | { readonly kind: "cannot"; readonly problem: string };

/** What the one that weighs is asked. */
export type BenchAsk =
  | { readonly kind: "begin"; readonly file: DeskFile }
  | { readonly kind: "piece"; readonly piece: Piece }
  /** All pieces are there, or no more will come for now: what waits is shown. */
  | { readonly kind: "whole" }
  /** What was found at checks of the bring-up, by `checkKey`, and what was measured otherwise, as `U5.14=12.5 kHz`. */
  | {
      readonly kind: "evidence";
      readonly found: readonly (readonly [string, string])[];
      readonly measured: readonly string[];
    }
  /** The screen shows one of these looks; nothing is known of it where there is none. */
  | { readonly kind: "shows"; readonly looks: readonly number[] }
  | { readonly kind: "forget photo" }
  | { readonly kind: "photo"; readonly photograph: Photograph; readonly corners: Corners }
  | {
      readonly kind: "capture";
      /** None: what was captured before is forgotten. */
      readonly capture?: Blob;
      readonly name: string;
      /** In seconds. */
      readonly samplePeriod?: number;
      readonly nets: readonly (readonly [channel: string, net: string])[];
    };

/** A look of the screen, as the page shows it. */
export interface SentLook {
  readonly number: number;
  readonly text: string;
  /** By what it differs from others of the same text. */
  readonly detail?: string;
  readonly faults: number;
  /** The likeliest fault, in a sentence. */
  readonly first: string;
  /** Red, green and blue of each cell; absent where there is no picture. */
  readonly cells?: Uint8Array;
}

export interface SentSuspect {
  readonly share: number;
  readonly faults: readonly string[];
}

/** A measurement as it was read, or why it cannot be. */
export interface ReadMeasurement {
  readonly text: string;
  readonly problem?: string;
  /** What the pin does on a board without faults. */
  readonly right?: string;
}

export interface NextPin {
  /** `U5.14 QA`. */
  readonly pin: string;
  /** `U5.14`. */
  readonly place: string;
  readonly net: string;
  readonly right: string;
}

export type BenchTold =
  | { readonly kind: "steps"; readonly title: string; readonly steps: readonly BringUpStep[] }
  | {
      readonly kind: "ready";
      /** The same for circuits whose faults bring about the same. */
      readonly key: string;
      readonly total: number;
      readonly known: KnownBench;
      readonly pins: readonly (readonly [place: string, about: string])[];
      readonly nets: readonly string[];
      readonly sentence: string;
    }
  | { readonly kind: "cannot"; readonly of: "circuit" | "photo" | "capture"; readonly problem: string }
  | { readonly kind: "judged"; readonly found: readonly (readonly [string, Finding])[] }
  /** `shown`: those that were said to be what the screen shows. */
  | { readonly kind: "gallery"; readonly looks: readonly SentLook[]; readonly shown: readonly number[] }
  | {
      readonly kind: "weighed";
      /** Faults that have been simulated, and groups of them that measuring tells apart and that are left. */
      readonly simulated: number;
      readonly left: number;
      readonly isExplained: boolean;
      readonly hasEvidence: boolean;
      readonly suspects: readonly SentSuspect[];
      readonly measured: readonly ReadMeasurement[];
      readonly next?: NextPin;
    }
  /** The nearest looks, and the photograph as it was straightened: red, green and blue of each cell. */
  | { readonly kind: "matched"; readonly looks: readonly number[]; readonly cells: Uint8Array }
  | {
      readonly kind: "captured";
      readonly channels: readonly {
        readonly name: string;
        readonly net: string;
        readonly said: string;
        readonly right: string;
      }[];
      readonly unknown: readonly string[];
      readonly sentence: string;
      /** Where it departs from the board without faults, line by line. */
      readonly departs: readonly string[];
    };

/** Names a check of the bring-up, the same as long as its place and net are. */
export function checkKey(at: string, net: string): string {
  return `${at} ${net}`;
}
