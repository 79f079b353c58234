import {
  type Board,
  type Entry,
  type EntryKind,
  boardOf,
  entryKinds,
  readEntry,
  readNotebook,
  readObservation,
} from "../bench/index.js";
import { BadInput } from "./bad-input.js";
import { readCircuitFile } from "./circuit-file.js";
import { defineCommand } from "./command.js";
import { addToNotebook, readNotebookBeside } from "./notebook-file.js";

export const noteCommand = defineCommand({
  name: "note",
  summary: "Add to the bench notebook beside a circuit file, or show it",
  arguments: { file: { summary: "the circuit file; board.circuit.yaml has board.notebook.txt" } },
  options: {
    built: { kind: "text", value: "words", summary: "what was built" },
    measured: {
      kind: "text",
      value: "pin=value",
      summary: "what was measured: 'U5.14=12.5 kHz 25 %', 'supply=5.02 V'",
    },
    found: { kind: "text", value: "words", summary: "what was found" },
    changed: { kind: "text", value: "words", summary: "what was changed; measurements before it are of another board" },
    note: { kind: "text", value: "words", summary: "anything else" },
    at: { kind: "text", value: "'date time'", summary: "when it was, such as '2026-11-28 14:05'; now by default" },
  },
  examples: [
    "npx dotwright note out/tide-board.circuit.yaml --measured 'U5.14=12.5 kHz 25 %'",
    "npx dotwright note out/tide-board.circuit.yaml",
  ],
  async run({ arguments: { file }, options }) {
    const { at = now() } = options;
    const added = entryKinds.flatMap((kind) => {
      const text = options[kind];
      return text === undefined ? [] : [entryOf(at, kind, text)];
    });
    if (added.length === 0) return show(file);
    const { circuit } = await readCircuitFile(file);
    const board = boardOf(circuit);
    for (const { kind, text } of added) if (kind === "measured") checkPlace(board, text);
    const { path, text } = await addToNotebook(file, added);
    const count = added.length === 1 ? "An entry" : `${added.length} entries`;
    return {
      exitCode: 0,
      text: `${count} added to ${path}, which has ${readNotebook(text).entries.length} now.`,
      json: { notebook: path, added },
    };
  },
});

/** Entries in the order of their dates; lines that are none are told, and count against the exit code. */
async function show(file: string) {
  const { path, text } = await readNotebookBeside(file);
  const { entries, problems } = readNotebook(text);
  const told = problems.map(({ line, column, message }) => `${path}:${line}:${column}: ${message}`);
  const lines = entries.map(({ when, kind, text: what }) => `${when.padEnd(16)}  ${kind.padEnd(8)}  ${what}`);
  const nothing = `Nothing is noted in ${path} yet.`;
  return {
    exitCode: problems.length === 0 ? (0 as const) : (1 as const),
    text: [...(lines.length === 0 && told.length === 0 ? [nothing] : lines), ...told].join("\n"),
    json: { notebook: path, entries, problems },
  };
}

function entryOf(when: string, kind: EntryKind, text: string): Entry {
  const entry = readEntry(`${when} ${kind} ${text.replaceAll(/\s+/g, " ").trim()}`);
  if ("message" in entry) {
    // Only a date can be amiss so far to the left.
    throw new BadInput(`${entry.column <= when.length + 1 ? "--at" : `--${kind}`}: ${entry.message}`);
  }
  return entry;
}

/** A place that is written as a pin has to be one of the board; others, such as `supply`, are the builder's own. */
function checkPlace(board: Board, measured: string): void {
  if (!/^[A-Za-z]+\d+[.:-]/.test(measured)) return;
  const found = readObservation(board, measured);
  if ("problem" in found) throw new BadInput(`--measured ${found.problem}`);
}

/** The clock on the wall, to the minute. */
function now(): string {
  const date = new Date();
  const two = (value: number) => String(value).padStart(2, "0");
  const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  return `${day} ${two(date.getHours())}:${two(date.getMinutes())}`;
}
