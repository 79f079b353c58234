import type { Bit } from "./bit-graph.js";
import type { CauseGraph } from "./causes.js";
import type { Level } from "./level.js";
import { Ordering } from "./ordering.js";
import { type Part, scheduleOf } from "./schedule.js";
import type { Doubt, Rest } from "./step-view.js";
import { strobesOf } from "./strobes.js";
import type { Signal, Structure } from "./structure.js";

/** What an outside change sets: the new level of a source, and whether it drives. */
export interface SourceChange {
  readonly source: number;
  readonly level: Level;
  readonly driven: Bit;
}

/** What comes of an outside change. */
export interface StepResult {
  readonly rest: Rest;
  readonly doubts: readonly Doubt[];
  /** Of each memory's ports: true where a write begins. */
  readonly begins: readonly (readonly Bit[])[];
}

export interface StepOptions {
  /** Follow unknown levels; else storage that takes one is a doubt. */
  readonly followsUnknown?: boolean;
  /** Try every order of changes that is open; else two changes whose order matters are a doubt. */
  readonly isThorough?: boolean;
  /** Levels that are known beforehand, of storage bits: they take the place of what is worked out. */
  readonly given?: (signal: Signal) => Level | undefined;
}

/** What can follow from changes of some sources, worked out once. */
export class StepPlan {
  readonly structure: Structure;
  readonly ordering: Ordering;
  readonly parts: readonly Part[];
  readonly strobes: ReadonlySet<Signal>;

  /** `sources` may all change at once; each may rise, fall or both. */
  constructor(causes: CauseGraph, sources: readonly { readonly source: number; readonly edges: readonly (0 | 1)[] }[]) {
    this.structure = causes.structure;
    const moves = sources.flatMap(({ source, edges }) =>
      edges.map((edge) => 2 * (this.structure.sources[source]?.signal ?? 0) + edge),
    );
    this.ordering = new Ordering(causes, moves);
    this.parts = scheduleOf(this.structure, this.ordering);
    this.strobes = strobesOf(this.structure);
  }
}
