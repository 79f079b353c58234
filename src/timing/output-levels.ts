import type { Change } from "../parts/index.js";
import { carriesData } from "./control.js";
import { EITHER, HIGH, LOW, type LevelSet, UNDRIVEN } from "./level-set.js";
import type { Model, OutputModel } from "./model.js";

/** What an output can show when its section's slots are at these levels. */
export function outputLevels(model: Model, output: OutputModel, sets: (slot: number) => LevelSet): LevelSet {
  const enable = output.enable ? output.enable.possible(sets) : HIGH;
  if (enable === LOW) return UNDRIVEN;
  // Data of unknown value: whatever comes from outside or from a memory and controls nothing.
  const value = output.value === "memory" || carriesData(model, output.net) ? EITHER : output.value.possible(sets);
  return enable === HIGH ? value : value | UNDRIVEN;
}

/** The changes with which an output may go from one of some levels to one of others. */
export function changesBetween(from: LevelSet, to: LevelSet): Change[] {
  const changes: Change[] = [];
  if (from & LOW && to & HIGH) changes.push("rise");
  if (from & HIGH && to & LOW) changes.push("fall");
  if (from & UNDRIVEN && to & HIGH) changes.push("z-to-high");
  if (from & UNDRIVEN && to & LOW) changes.push("z-to-low");
  if (from & HIGH && to & UNDRIVEN) changes.push("high-to-z");
  if (from & LOW && to & UNDRIVEN) changes.push("low-to-z");
  return changes;
}
