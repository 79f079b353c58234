import { FS_PER_NS } from "../../quantity/index.js";
import { type Design, PHASES, addressBits, cellTime, phasePeriods } from "../design.js";
import { maybeMemory } from "./memory-named.js";

/** Least phase with which the ring of 74HC holds: the tide board's, to a tenth of a nanosecond. */
const LEAST_PHASE_NS = 79.4;
/** With a two-phase processor: its read ends after one phase. As proved with 148 ns; between them nobody has tried. */
const LEAST_TWO_PHASE_NS = 148;
/** Why no circuit of a design can be written, a clause each; empty where one can. */
export function writingProblems(design: Design): readonly string[] {
  const { sharing, content, output, memory, lineRepeat } = design;
  const problems: string[] = [];
  const phaseNs = cellTime(design) / FS_PER_NS / PHASES;
  const isTwoPhase = sharing.kind === "alternate slots";
  if (design.family !== "HC") problems.push("logic faster than 74HC is not written yet");
  if (sharing.kind !== "write latch" && !isTwoPhase) problems.push(`sharing by ${sharing.kind} is not written yet`);
  const least = isTwoPhase ? LEAST_TWO_PHASE_NS : LEAST_PHASE_NS;
  if (phaseNs < least) problems.push(`an eighth of a cell is ${phaseNs.toFixed(1)} ns, at least ${least} are needed`);
  const stages = Math.log2(phasePeriods(design));
  if (stages < 1 || !Number.isInteger(stages))
    problems.push("an eighth of a cell is not 2, 4, 8 ... oscillator periods");
  if (!Number.isInteger(Math.log2(lineRepeat)))
    problems.push(`a row on ${lineRepeat} lines needs a counter of its own`);
  if (output.kind === "composite 15 kHz" && content.kind === "bitmap" && content.bitsPerDot > 1) {
    problems.push("grey levels on one wire are not written yet");
  }
  if (isTwoPhase && content.kind === "text")
    problems.push("characters beside a two-phase processor are not written yet");
  const named = maybeMemory(memory);
  const { column, row } = addressBits(design);
  if (!named?.memory.write || named.otherPorts || named.memory.data.length !== 8) {
    problems.push(`a ${memory} is no static RAM of eight bits`);
  } else if (column + row > named.memory.address.length)
    problems.push(`rows that begin at powers of two take ${column + row} address bits`);
  return problems;
}
