import { type FaultBench, faultBenchOf, simulateEdits } from "../../bench/index.js";
import { circuitOf } from "./circuit-of.js";
import type { FaultsAsk, FaultsTold, Piece } from "./protocol.js";

let bench: FaultBench | undefined;

/** Simulates boards with faults of one circuit. */
export function askFaults(ask: FaultsAsk): void {
  try {
    if (ask.kind === "begin") bench = faultBenchOf(circuitOf(ask.file), { known: ask.known });
    else if (bench) tellPiece(pieceOf(bench, ask.from, ask.to));
  } catch (error) {
    tell({ kind: "cannot", problem: error instanceof Error ? error.message : String(error) });
  }
}

function pieceOf(of: FaultBench, from: number, to: number): Piece {
  const edits = of.faults.slice(from, to).map(({ edit }) => edit);
  const found = simulateEdits(of, edits, (done) => tell({ kind: "done", share: done / edits.length }));
  const boards = found.map(({ isShorted, wanders, readings, screens }) => ({
    isShorted,
    wanders,
    numbers: Float32Array.from(readings.numbers),
    ...(screens && { screens }),
  }));
  return { from, boards };
}

function tellPiece(piece: Piece): void {
  tell({ kind: "piece", piece }, [...new Set(piece.boards.map(({ numbers }) => numbers.buffer))]);
}

function tell(told: FaultsTold, transfer: Transferable[] = []): void {
  self.postMessage(told, { transfer });
}
