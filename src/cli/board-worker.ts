import type { Circuit } from "../circuit/index.js";
import { type BoardReport, runRandomBoard } from "../simulation/index.js";
import type { Fs } from "../quantity/index.js";
import { readCircuitFile } from "./circuit-file.js";

/** What a thread is asked for: one board of a circuit file. */
export interface BoardTask {
  readonly file: string;
  readonly seed: number;
  readonly time: Fs;
}

let read: { readonly file: string; readonly circuit: Promise<Circuit> } | undefined;

/** Runs one board; what the threads of `runBoards` call. The file is read once a thread. */
export async function runBoardTask({ file, seed, time }: BoardTask): Promise<BoardReport> {
  if (read?.file !== file) read = { file, circuit: readCircuitFile(file).then(({ circuit }) => circuit) };
  return runRandomBoard(await read.circuit, seed, time);
}
