import { dirname, join } from "node:path";
import type { FileBytes } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readBytes } from "./files.js";

/** Reads the files that a file names, their paths relative to it; for each its bytes, or why there are none. */
export async function filesBeside(
  path: string,
  names: readonly string[],
): Promise<(name: string) => FileBytes | undefined> {
  const files = new Map<string, FileBytes>();
  for (const name of names) files.set(name, await bytesOrWhy(join(dirname(path), name)));
  return (name) => files.get(name);
}

async function bytesOrWhy(path: string): Promise<FileBytes> {
  try {
    return await readBytes(path);
  } catch (error) {
    if (!(error instanceof BadInput)) throw error;
    return { unreadable: error.message.replace(`${path}: `, "") };
  }
}
