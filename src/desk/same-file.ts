import type { DeskFile } from "./protocol.js";

/** Whether two texts, with the own parts that they name, say the same to the letter. */
export function isSameFile(one: DeskFile, other: DeskFile | undefined): boolean {
  return one.text === other?.text && JSON.stringify(one.ownParts) === JSON.stringify(other.ownParts);
}
