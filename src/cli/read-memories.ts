import type { Chip, Circuit } from "../circuit/index.js";
import { BadInput } from "./bad-input.js";
import { imageFile } from "./load-images.js";

/**
 * What memories hold, by files: `FILE` for every one of them, `U5=FILE` for one, which counts for more.
 *
 * @throws BadInput where the circuit has no such memory, or a file is no image that fits it
 */
export async function readMemories(
  { chips }: Circuit,
  given: readonly string[],
): Promise<ReadonlyMap<Chip, Uint8Array>> {
  const memories = chips.filter(({ part }) => part.behaviour.memory);
  const own = given.map((text) => {
    const [, ref, path = text] = /^([A-Za-z]+\d+)=(.+)$/.exec(text) ?? [];
    return { ref, path };
  });
  const contents = new Map<Chip, Uint8Array>();
  for (const { ref, path } of [...own].sort((a, b) => Number(a.ref !== undefined) - Number(b.ref !== undefined))) {
    const filled = ref === undefined ? memories : memories.filter((chip) => chip.ref === ref);
    if (ref !== undefined && filled.length === 0) {
      const known = memories.map((chip) => chip.ref).join(", ");
      throw new BadInput(`--memory ${ref}=${path}: the circuit's memories are ${known === "" ? "none" : known}`);
    }
    for (const chip of filled) contents.set(chip, (await imageFile(path, chip)).bytes);
  }
  return contents;
}
