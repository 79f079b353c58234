import type { DelayVariable } from "./delay-variable.js";
import type { PathId } from "./paths.js";

/** A chain of delays that leads through one output more often than this goes round without end. */
export const MOST_TURNS = 3;

/** Thrown where changes lead back to themselves and go round and round without coming to rest. */
export class Unending extends Error {
  readonly chip: string;
  readonly output: string;
  /** The chain of delays that has gone round. */
  readonly path: PathId;

  constructor({ chip, to }: Pick<DelayVariable, "chip" | "to">, path: PathId) {
    super(`what ${chip} ${to} does leads back to it without end`);
    this.chip = chip;
    this.output = to;
    this.path = path;
  }
}
