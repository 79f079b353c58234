import { type Entry, entryLine } from "./entry.js";

/** What stands at the head of a notebook that is begun. */
export const NOTEBOOK_HEAD =
  "# Bench notebook: a line is a date, then built, measured, found, changed or note, then what.\n";

/** What is to be put at the end of a notebook's text so that the entries stand there; whatever is there stays as it is. */
export function appendix(text: string, entries: readonly Entry[]): string {
  const lines = entries.map((entry) => `${entryLine(entry)}\n`).join("");
  if (text === "") return NOTEBOOK_HEAD + lines;
  return /[\r\n]$/.test(text) ? lines : `\n${lines}`;
}

/** The name of the notebook that is kept beside a circuit file: `board.circuit.yaml` has `board.notebook.txt`. */
export function notebookName(circuitFile: string): string {
  return `${circuitFile.replace(/(\.circuit)?\.(ya?ml|csv)$/i, "")}.notebook.txt`;
}
