import type { Source } from "../parts/index.js";
import type { Weakness } from "../verdict/index.js";

/** What a verdict rests on by the sources of its figures. */
export function isRecalled(sources: readonly Source[]): readonly Weakness[] {
  return sources.some(({ fromMemory }) => fromMemory) ? ["from memory"] : [];
}
