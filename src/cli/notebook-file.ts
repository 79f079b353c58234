import { type Entry, appendix, notebookName } from "../bench/index.js";
import { appendText, isThere, readText } from "./files.js";

/** A notebook as it is kept beside a circuit file. */
export interface NotebookFile {
  readonly path: string;
  /** Empty where there is none yet. */
  readonly text: string;
}

/**
 * Reads the notebook that is kept beside a circuit file.
 *
 * @throws BadInput with one line that names the file
 */
export async function readNotebookBeside(circuitPath: string): Promise<NotebookFile> {
  const path = notebookName(circuitPath);
  return { path, text: (await isThere(path)) ? await readText(path) : "" };
}

/**
 * Puts entries at the end of the notebook beside a circuit file; all that stands in it stays as it is.
 *
 * @throws BadInput with one line that names the file
 */
export async function addToNotebook(circuitPath: string, entries: readonly Entry[]): Promise<NotebookFile> {
  const { path, text } = await readNotebookBeside(circuitPath);
  const more = appendix(text, entries);
  await appendText(path, more);
  return { path, text: text + more };
}
