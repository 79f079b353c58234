import { dirname, join } from "node:path";
import { type Circuit, formatProblem } from "../circuit/index.js";
import { type FileBytes, type Script, filesOf, readScript } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { readBytes, readText } from "./files.js";

/**
 * Reads and checks a script, with the files beside it that it takes bytes from.
 *
 * @throws BadInput with one line for every mistake
 */
export async function readScriptFile(path: string, circuit: Circuit): Promise<Script> {
  const text = await readText(path);
  const files = new Map<string, FileBytes>();
  for (const file of filesOf(text)) files.set(file, await bytesOrWhy(join(dirname(path), file)));
  const { script, problems } = readScript(text, path, circuit, (file) => files.get(file));
  if (script) return script;
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}

async function bytesOrWhy(path: string): Promise<FileBytes> {
  try {
    return await readBytes(path);
  } catch (error) {
    if (!(error instanceof BadInput)) throw error;
    return { unreadable: error.message.replace(`${path}: `, "") };
  }
}
