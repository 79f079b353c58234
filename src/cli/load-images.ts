import type { Chip } from "../circuit/index.js";
import {
  type Contents,
  type Format,
  type MemoryImage,
  formatOf,
  isRefused,
  readImage,
  wordsOf,
} from "../loading/index.js";
import { BadInput } from "./bad-input.js";
import { readBytes } from "./files.js";

/** @throws BadInput where the file is no image that fits the memory */
export async function imageFile(path: string, chip: Chip): Promise<MemoryImage> {
  const image = readImage(await readBytes(path), wordsOf(chip), imageFormat(path));
  if (isRefused(image)) throw new BadInput(`${path}: ${image.problem}`);
  return image;
}

/** A C file is told by its name; the other formats by what is in them. */
function imageFormat(path: string): Format | undefined {
  const format = formatOf(path);
  return format === "bin" ? undefined : format;
}

export async function romFile(path: string, rom: Chip | undefined): Promise<Contents> {
  if (!rom) throw new BadInput(`--rom ${path}: the circuit has no ROM`);
  const { bytes } = await imageFile(path, rom);
  return new Map([[rom, bytes]]);
}
