import type { Behaviour } from "./behaviour.js";
import type { FamilyFigures } from "./figure-rows.js";
import type { MemoryRow } from "./memory-rows.js";
import type { Package } from "./part.js";

/** A function that a builder describes: what it does and where its pins are. */
export interface OwnFunction {
  readonly behaviour: Behaviour;
  readonly package: Package;
}

/** A builder's figures for one logic part. */
export interface OwnFigures {
  /** As the file writes it: `74ABT244`, `HD10371`. */
  readonly part: string;
  /** `ABT` of a 74ABT244; a part that is no 74 is a family of its own, by its number. */
  readonly family: string;
  readonly function: string;
  /** The family on record whose levels and loads it has. */
  readonly levels?: string;
  readonly figures: FamilyFigures;
}

/** What a builder adds to the catalogue, or puts in the place of what stands there. */
export interface OwnParts {
  /** The file that states it, as the circuit file names it. */
  readonly file: string;
  /** By their numbers. */
  readonly functions: ReadonlyMap<string, OwnFunction>;
  readonly logic: readonly OwnFigures[];
  readonly memories: readonly MemoryRow[];
}

/** Publishers of figures that no maker's sheet stands behind. */
export const MEASURED = "measured";
export const RECALLED = "from memory";
