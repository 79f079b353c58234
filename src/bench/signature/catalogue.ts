import type { Circuit } from "../../circuit/index.js";
import { type Board, boardOf } from "../board/board.js";
import { type Edit, variantOf } from "../board/variant.js";
import { faultsOf } from "../faults/enumerate.js";
import type { Fault } from "../faults/fault.js";
import { ReadingTable } from "./reading.js";
import { type KnownPicture, type Scenario, type ScenarioOptions, knownPictureOf, scenarioOf } from "./scenario.js";
import { FAULTS_IN_GROUP, type Signature, simulateGroup } from "./simulate-group.js";

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

/** Nets that rise less often than so many times a frame have their times kept: those of the lines and slower. */
const SLOW_RISES = 1100;

/** Makes a circuit ready. Throws RangeError where it cannot be simulated. */
export function faultBenchOf(circuit: Circuit, options: BenchOptions = {}): FaultBench {
  const board = boardOf(circuit);
  const scenario = scenarioOf(circuit, options);
  const { known } = options;
  if (known) return { board, scenario, faults: faultsOf(board), slowNodes: new Set(known.slowNodes), good: known.good };
  const quick = simulateGroup(board, scenario, [], { memory: "card", slowNodes: new Set(), mostWindows: 1 });
  const frame = (scenario.frameEdges * scenario.edgeFs) / 1e15;
  const slowNodes = new Set(
    quick.good.readings.nodes.filter((node) => {
      const rises = (quick.good.readings.at(node)?.[0].hertz ?? 0) * frame;
      return scenario.raster !== undefined && rises > 0.5 && rises < SLOW_RISES;
    }),
  );
  const { good } = simulateGroup(board, scenario, [], { memory: "card", slowNodes });
  return { board, scenario, faults: faultsOf(board), slowNodes, good };
}

/** Signatures of boards with faults, by position; those that write astray are simulated again from unknown contents. */
export function simulateEdits(
  bench: FaultBench,
  edits: readonly Edit[],
  tell?: (done: number) => void,
): readonly Signature[] {
  const { board, scenario, slowNodes } = bench;
  const variants = edits.map((edit) => variantOf(board, edit));
  const found = new Map<number, Signature>();
  const astray: number[] = [];
  const inGroups = (which: readonly number[], memory: "card" | "random") => {
    for (let from = 0; from < which.length; from += FAULTS_IN_GROUP) {
      const own = which.slice(from, from + FAULTS_IN_GROUP);
      const result = simulateGroup(
        board,
        scenario,
        own.flatMap((index) => variants[index] ?? []),
        { memory, slowNodes },
      );
      own.forEach((index, place) => {
        const signature = result.faulty[place];
        if (signature) found.set(index, signature);
      });
      if (memory === "card") astray.push(...result.astray.flatMap((place) => own[place] ?? []));
      tell?.(found.size - astray.length);
    }
  };
  const alive = variants.flatMap(({ isShorted }, index) => (isShorted ? [] : [index]));
  inGroups(alive, "card");
  if (scenario.writes) inGroups(astray, "random");
  return variants.map((_, index) => found.get(index) ?? SHORTED);
}

/** The supply is shorted: nothing moves. */
const SHORTED: Signature = { isShorted: true, readings: new ReadingTable(new Float32Array(0)), wanders: false };
