import { type Circuit, formatProblem } from "../circuit/index.js";
import { type Script, filesOf, readScript } from "../simulation/index.js";
import { BadInput } from "./bad-input.js";
import { filesBeside } from "./files-beside.js";
import { readText } from "./files.js";

/**
 * Reads and checks a script, with the files beside it that it takes bytes from.
 *
 * @throws BadInput with one line for every mistake
 */
export async function readScriptFile(path: string, circuit: Circuit): Promise<Script> {
  const text = await readText(path);
  const { script, problems } = readScript(text, path, circuit, await filesBeside(path, filesOf(text)));
  if (script) return script;
  throw new BadInput(problems.map((problem) => ({ text: formatProblem(problem), details: { ...problem } })));
}
