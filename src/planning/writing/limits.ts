import { FS_PER_NS } from "../../quantity/index.js";
import {
  type Design,
  LEAST_PHASE_NS,
  MOST_GREY_BITS,
  PHASES,
  addressBits,
  bitsPerDot,
  cellTime,
  phasePeriods,
} from "../design.js";
import { maybeMemory } from "./memory-named.js";

/** Why no circuit of a design can be written, a clause each; empty where one can. */
export function writingProblems(design: Design): readonly string[] {
  const { family, output, memory, lineRepeat } = design;
  const problems: string[] = [];
  const phaseNs = cellTime(design) / FS_PER_NS / PHASES;
  const least = LEAST_PHASE_NS[family];
  if (phaseNs < least) problems.push(`an eighth of a cell is ${phaseNs.toFixed(1)} ns, at least ${least} are needed`);
  const stages = Math.log2(phasePeriods(design));
  if (stages < 0 || !Number.isInteger(stages))
    problems.push("an eighth of a cell is not 1, 2, 4, 8 ... oscillator periods");
  if (!Number.isInteger(Math.log2(lineRepeat)))
    problems.push(`a row on ${lineRepeat} lines needs a counter of its own`);
  const depth = bitsPerDot(design);
  if (output.kind === "composite 15 kHz" && depth > MOST_GREY_BITS)
    problems.push(`${2 ** depth} greys are finer than the resistors of one wire`);
  const named = maybeMemory(memory);
  const { column, row } = addressBits(design);
  if (!named?.memory.write || named.otherPorts || named.memory.data.length !== 8) {
    problems.push(`a ${memory} is no static RAM of eight bits`);
  } else if (column + row > named.memory.address.length)
    problems.push(`rows that begin at powers of two take ${column + row} address bits`);
  return problems;
}
