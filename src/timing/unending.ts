import type { DelayVariable } from "./delay-variable.js";

/** A chain of delays that leads through one output more often than this goes round without end. */
export const MOST_TURNS = 6;

/** Thrown where changes lead back to themselves and go round and round without coming to rest. */
export class Unending extends Error {
  readonly chip: string;
  readonly output: string;

  constructor({ chip, to }: Pick<DelayVariable, "chip" | "to">) {
    super(`what ${chip} ${to} does leads back to it without end`);
    this.chip = chip;
    this.output = to;
  }
}
