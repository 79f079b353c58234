import type { Circuit } from "../../circuit/index.js";
import { type Board, boardOf } from "../board/board.js";
import { faultsOf } from "../faults/enumerate.js";
import type { Fault } from "../faults/fault.js";
import { type KnownPicture, type Scenario, type ScenarioOptions, knownPictureOf, scenarioOf } from "./scenario.js";
import { type Signature, simulateGroup } from "./simulate-group.js";

/** A circuit made ready to be simulated with faults. */
export interface FaultBench {
  readonly board: Board;
  readonly scenario: Scenario;
  readonly faults: readonly Fault[];
  readonly slowNodes: ReadonlySet<number>;
  /** Of the board without faults. */
  readonly good: Signature;
}

export interface BenchOptions extends ScenarioOptions {
  readonly known?: KnownBench;
}

/** What was found out in making a circuit ready, to be sent to others that simulate the same one. */
export interface KnownBench extends KnownPicture {
  readonly slowNodes: readonly number[];
  readonly good: Signature;
}

export function knownBenchOf({ scenario, slowNodes, good }: FaultBench): KnownBench {
  return { ...knownPictureOf(scenario), slowNodes: [...slowNodes], good };
}

/** Nets that rise less often than so many times a frame have the times of their rises kept. */
const SLOW_RISES = 100;

/** Makes a circuit ready. Throws RangeError where it cannot be simulated. */
export function faultBenchOf(circuit: Circuit, options: BenchOptions = {}): FaultBench {
  const board = boardOf(circuit);
  const scenario = scenarioOf(circuit, options);
  const { known } = options;
  if (known) return { board, scenario, faults: faultsOf(board), slowNodes: new Set(known.slowNodes), good: known.good };
  const { good } = simulateGroup(board, scenario, [], { memory: "card", length: "two frames", slowNodes: new Set() });
  const frame = (scenario.frameEdges * scenario.edgeFs) / 1e15;
  const slowNodes = new Set(
    good.readings.nodes.filter((node) => {
      const rises = (good.readings.at(node)?.[0].hertz ?? 0) * frame;
      return scenario.raster !== undefined && rises > 0.5 && rises < SLOW_RISES;
    }),
  );
  return { board, scenario, faults: faultsOf(board), slowNodes, good };
}
