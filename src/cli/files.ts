import { randomUUID } from "node:crypto";
import { type Stats, closeSync, createReadStream, openSync, writeFileSync } from "node:fs";
import { appendFile, mkdir, readFile, realpath, rename, rm, stat, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { BadInput } from "./bad-input.js";

/** The largest file that is read, in bytes: far above any circuit file, far below what would make the machine wait. */
export const largestFile = 4 * 1024 * 1024;

/**
 * Reads a whole file. Missing files, folders, pipes and devices (which could keep us waiting for ever), files without
 * permission and files above 4 MiB are refused.
 *
 * @throws BadInput with one line that names the file
 */
export async function readBytes(path: string): Promise<Uint8Array> {
  try {
    const found = await stat(path);
    if (found.isDirectory()) throw new BadInput(`${path}: is a folder; a file was expected`);
    if (!found.isFile()) throw new BadInput(`${path}: is a pipe or a device; a regular file was expected`);
    if (found.size > largestFile) {
      const size = (found.size / 1024 / 1024).toFixed(1);
      throw new BadInput(`${path}: is ${size} MiB; files above ${largestFile / 1024 / 1024} MiB are not read`);
    }
    return await readFile(path);
  } catch (error) {
    throw asBadInput(error, `${path}: cannot be read`);
  }
}

/**
 * Reads a text file in UTF-8, without its byte order mark. Besides what `readBytes` refuses, files that are no text are
 * refused.
 *
 * @throws BadInput with one line that names the file
 */
export async function readText(path: string): Promise<string> {
  return textOf(path, await readBytes(path));
}

/**
 * What a file's bytes are as text in UTF-8, without the byte order mark.
 *
 * @throws BadInput with one line that names the file
 */
export function textOf(path: string, bytes: Uint8Array): string {
  const [first, second] = bytes;
  if ((first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff)) {
    throw new BadInput(`${path}: is text in UTF-16; save it as UTF-8`);
  }
  const zero = bytes.indexOf(0);
  if (zero >= 0) throw new BadInput(`${path}: is a binary file (a zero at byte ${zero}); text in UTF-8 was expected`);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw new BadInput(`${path}: is no text in UTF-8; save it as UTF-8`);
  }
}

/**
 * Reads a text file of any length piece by piece: `take` is handed each piece, and what share of the file is read, until it
 * returns false. Folders, pipes and devices are refused as `readBytes` does.
 *
 * @throws BadInput with one line that names the file
 */
export async function readInPieces(path: string, take: (text: string, share: number) => boolean): Promise<void> {
  try {
    const found = await stat(path);
    if (found.isDirectory()) throw new BadInput(`${path}: is a folder; a file was expected`);
    if (!found.isFile()) throw new BadInput(`${path}: is a pipe or a device; a regular file was expected`);
    const decoder = new TextDecoder("utf-8");
    let read = 0;
    for await (const bytes of createReadStream(path) as AsyncIterable<Uint8Array>) {
      read += bytes.length;
      if (!take(decoder.decode(bytes, { stream: true }), read / Math.max(found.size, 1))) return;
    }
    take(decoder.decode(), 1);
  } catch (error) {
    throw asBadInput(error, `${path}: cannot be read`);
  }
}

/**
 * Writes a whole file, with its folders, so that nobody ever finds half of it: the text goes to a new file beside it, which
 * then takes its name. Pipes and devices are written directly.
 *
 * @throws BadInput with one line that names the file
 */
export async function writeWhole(path: string, content: string | Uint8Array): Promise<void> {
  await replaceFile(path, (target, mode) => writeFile(target, content, mode === undefined ? {} : { mode }));
}

/**
 * Writes a whole file as `writeWhole` does, unless `isWelcome`, asked as the last thing before the file takes its name, says
 * no. Returns whether it was written.
 *
 * @throws BadInput with one line that names the file
 */
export async function writeWholeIf(
  path: string,
  content: string | Uint8Array,
  isWelcome: () => Promise<boolean>,
): Promise<boolean> {
  const refused = new Error("not welcome");
  try {
    await replaceFile(path, async (target, mode) => {
      await writeFile(target, content, mode === undefined ? {} : { mode });
      if (!(await isWelcome())) throw refused;
    });
    return true;
  } catch (error) {
    if (error === refused) return false;
    throw error;
  }
}

/**
 * Writes a whole file as `writeWhole` does, where there is none yet.
 *
 * @throws BadInput with one line that names the file
 */
export async function writeNew(path: string, content: string): Promise<void> {
  let present: Stats | undefined;
  try {
    present = await statOrNothing(path);
  } catch (error) {
    throw asBadInput(error, `${path}: cannot be written`);
  }
  if (present) throw new BadInput(`${path}: is there already and stays as it is; give another name`);
  await writeWhole(path, content);
}

/**
 * Writes a file as `writeWhole` does, but piece by piece as the text comes, for what is too long to be held in memory.
 * `produce` is handed a function that writes; what it returns is returned.
 *
 * @throws BadInput with one line that names the file, and whatever `produce` throws; then nothing is left behind
 */
export async function writeInPieces<T>(
  path: string,
  produce: (write: (piece: string) => void) => T | Promise<T>,
): Promise<T> {
  return replaceFile(path, async (target, mode) => {
    const file = openSync(target, "w", mode);
    try {
      return await produce((piece) => writeFileSync(file, piece));
    } finally {
      closeSync(file);
    }
  });
}

/** Has a new file filled, which then takes the name of the old one. */
async function replaceFile<T>(path: string, fill: (target: string, mode?: number) => Promise<T>): Promise<T> {
  try {
    const present = await statOrNothing(path);
    if (present?.isDirectory()) throw new BadInput(`${path}: is a folder; give the name of a file`);
    if (present && !present.isFile()) return await fill(path);
    // A symbolic link goes on pointing to the file that it points to.
    const target = present ? await realpath(path) : path;
    await mkdir(dirname(target), { recursive: true });
    const temporary = join(dirname(target), `.dotwright-${randomUUID()}`);
    try {
      const result = await fill(temporary, present?.mode);
      await rename(temporary, target);
      return result;
    } catch (error) {
      await rm(temporary, { force: true });
      throw error;
    }
  } catch (error) {
    throw asBadInput(error, `${path}: cannot be written`);
  }
}

/**
 * Whether there is something at a path.
 *
 * @throws BadInput with one line that names the file where that cannot be told
 */
export async function isThere(path: string): Promise<boolean> {
  try {
    return (await statOrNothing(path)) !== undefined;
  } catch (error) {
    throw asBadInput(error, `${path}: cannot be read`);
  }
}

/**
 * Puts text at the end of a file, which is made where there is none. What is in it stays as it is.
 *
 * @throws BadInput with one line that names the file
 */
export async function appendText(path: string, text: string): Promise<void> {
  try {
    await appendFile(path, text);
  } catch (error) {
    throw asBadInput(error, `${path}: cannot be written`);
  }
}

async function statOrNothing(path: string): Promise<Stats | undefined> {
  try {
    return await stat(path);
  } catch (error) {
    if (errorCode(error) === "ENOENT") return undefined;
    throw error;
  }
}

const reasons: { readonly [code: string]: string } = {
  ENOENT: "there is no such file",
  ENOTDIR: "a part of the path is no folder",
  EEXIST: "a part of the path is no folder",
  EACCES: "no permission",
  EPERM: "no permission",
  EROFS: "the disk is read-only",
  ENOSPC: "the disk is full",
  ENAMETOOLONG: "the name is too long",
  ELOOP: "symbolic links go round in a circle",
  ERR_INVALID_ARG_VALUE: "the name holds a zero byte",
};

/** What the operating system refuses is the person's to mend; anything else is a fault of ours and goes on unchanged. */
function asBadInput(error: unknown, what: string): unknown {
  const code = errorCode(error);
  if (code === undefined) return error;
  return new BadInput(`${what}: ${reasons[code] ?? code}`);
}

function errorCode(error: unknown): string | undefined {
  return error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : undefined;
}
