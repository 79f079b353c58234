import type { BringUpStep, Corners, EntryKind, Finding, Photograph } from "../../bench/index.js";
import type { NotebookText } from "./notebook-place.js";
import type { BenchTold, ReadMeasurement, SentLook } from "./protocol.js";
import type { Found } from "./remembered.js";

export type Ready = Extract<BenchTold, { kind: "ready" }>;
export type Weighed = Extract<BenchTold, { kind: "weighed" }>;
export type Captured = Extract<BenchTold, { kind: "captured" }>;

/** A photograph that was dropped in, and where the picture's corners are in it. */
export interface Photo {
  readonly name: string;
  readonly photograph: Photograph;
  readonly corners: Corners;
  /** As it was straightened. */
  readonly straight?: Uint8Array;
  readonly matches: readonly number[];
}

export interface CaptureFile {
  readonly file: File;
  /** In nanoseconds, where it was given. */
  readonly samplePeriod?: number;
  /** Channel by channel, the net that it was on. */
  readonly nets: Readonly<Record<string, string>>;
}

/** How far the faults are simulated. */
export interface RunState {
  readonly done: number;
  readonly total: number;
  readonly isRunning: boolean;
  readonly isWhole: boolean;
  readonly problem?: string;
}

/** Everything that the page shows. */
export interface BenchState {
  readonly title: string;
  readonly steps?: readonly BringUpStep[];
  readonly ready?: Ready;
  readonly run?: RunState;
  readonly found: Found;
  readonly judged: ReadonlyMap<string, Finding>;
  readonly looks: readonly SentLook[];
  readonly shown: readonly number[];
  /** Captions of the gallery that are shown whole. */
  readonly opened: readonly string[];
  readonly weighed?: Weighed;
  readonly photo?: Photo;
  readonly capture?: CaptureFile;
  readonly captured?: Captured;
  readonly notebook?: NotebookText;
  readonly problems: Readonly<Partial<Record<"circuit" | "photo" | "capture" | "kept" | "notebook", string>>>;
}

export const emptyBench: BenchState = {
  title: "",
  found: { ticks: [], found: {}, measured: [] },
  judged: new Map(),
  looks: [],
  shown: [],
  opened: [],
  problems: {},
};

/** What the reader can do on the page. */
export interface BenchActions {
  simulate(): void;
  stop(): void;
  tick(key: string, isDone: boolean): void;
  find(key: string, text: string): void;
  measure(text: string): void;
  forget(measurement: ReadMeasurement): void;
  show(look: number, isShown: boolean): void;
  showNone(): void;
  open(caption: string): void;
  takePhoto(file: File): void;
  moveCorner(corner: number, x: number, y: number): void;
  dropPhoto(): void;
  takeCapture(file: File): void;
  changeCapture(change: Partial<CaptureFile>): void;
  dropCapture(): void;
  /** Whether all of it is noted now. */
  note(entries: readonly (readonly [EntryKind, string])[]): Promise<boolean>;
  takeNotebook(): void;
}
