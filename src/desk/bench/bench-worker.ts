import {
  type BringUpStep,
  type FaultBench,
  bringUpOf,
  faultBenchOf,
  hashOf,
  judgeFound,
  knownBenchOf,
  sameFaultsText,
  straighten,
} from "../../bench/index.js";
import { circuitOf } from "./circuit-of.js";
import { Evidence } from "./evidence.js";
import { readCaptured } from "./read-captured.js";
import { type BenchAsk, type BenchTold, checkKey } from "./protocol.js";
import type { DeskFile } from "../protocol.js";

/** The circuit at hand; what was found on the board is known by it. */
interface Current {
  readonly rest: FaultBench;
  readonly steps: readonly BringUpStep[];
  readonly evidence: Evidence;
}

let current: Current | undefined;

function tell(told: BenchTold): void {
  self.postMessage(told);
}

/** Weighs the faults of one circuit against what is known of the board. */
export async function askBench(ask: BenchAsk): Promise<void> {
  try {
    if (ask.kind === "begin") begin(ask.file);
    else if (current) await answer(current, ask);
  } catch (error) {
    const of = ask.kind === "photo" || ask.kind === "capture" ? ask.kind : "circuit";
    tell({ kind: "cannot", of, problem: error instanceof Error ? error.message : String(error) });
  }
}

/** First the bring-up, with the processor at rest; then what the faults are compared with. */
function begin(file: DeskFile): void {
  const circuit = circuitOf(file);
  const rest = faultBenchOf(circuit, { atRest: true });
  const steps = bringUpOf(rest);
  tell({ kind: "steps", title: circuit.title, steps });
  const bench = faultBenchOf(circuit);
  current = { rest, steps, evidence: new Evidence(bench, tell) };
  const { board, scenario, faults } = bench;
  const { writes, edgeFs } = scenario;
  tell({
    kind: "ready",
    key: hashOf(new TextEncoder().encode(sameFaultsText(circuit, "desk"))),
    total: faults.length,
    known: knownBenchOf(bench),
    pins: board.pins.flatMap((pin) => {
      if (pin.kind !== "chip") return [];
      return [[`${pin.chip?.ref ?? ""}.${pin.number}`, `${pin.name}, ${board.nodeNames[pin.node] ?? ""}`] as const];
    }),
    nets: circuit.nets.filter(({ rail }) => !rail).map(({ name }) => name),
    sentence: writes
      ? `The processor writes a test card over and over, a byte every ${((writes.every * edgeFs) / 1e9).toFixed(1)} µs.`
      : "The processor rests.",
  });
}

async function answer({ rest, steps, evidence }: Current, ask: Exclude<BenchAsk, { kind: "begin" }>): Promise<void> {
  switch (ask.kind) {
    case "piece":
      return evidence.add(ask.piece);
    case "whole":
      return evidence.refresh();
    case "shows":
      return evidence.choose(ask.looks);
    case "evidence": {
      const checks = new Map(
        steps.flatMap(({ checks: own }) => own.map((check) => [checkKey(check.at, check.net), check])),
      );
      const found = ask.found.flatMap(([key, text]) => {
        const check = checks.get(key);
        return check ? [[key, judgeFound(rest, check, text)] as const] : [];
      });
      tell({ kind: "judged", found });
      return evidence.measure([...found.flatMap(([, { measured }]) => measured ?? []), ...ask.measured]);
    }
    case "forget photo":
      return evidence.forgetPhoto();
    case "photo":
      return evidence.match(straighten(ask.photograph, ask.corners));
    case "capture": {
      const { capture, name, samplePeriod, nets } = ask;
      return evidence.capture(
        capture && (await readCaptured(capture, name, evidence.compared, samplePeriod)),
        new Map(nets),
      );
    }
  }
}
