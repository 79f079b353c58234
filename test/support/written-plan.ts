import { formatProblem, readCircuit } from "../../src/circuit/index.js";
import { judgeElectrical, underLoad } from "../../src/electrical/index.js";
import { type Plan, designOf, obstaclesToWriting, writeCircuit } from "../../src/planning/index.js";
import { type Design, addressBits, dotRate, dotsPerCell } from "../../src/planning/design.js";
import { findPart } from "../../src/parts/index.js";
import { inHertz } from "../../src/raster/index.js";
import { prove } from "../../src/timing/index.js";
import { type Place, shownDots } from "./shown-dots.js";

/** What became of a plan that was written down: a list for each promise, empty where it is kept. */
export interface WrittenPlan {
  /** Why it cannot be written; nothing further was tried then. */
  readonly refused: readonly string[];
  /** The circuit file; empty where it was refused. */
  readonly text: string;
  /** Problems of the file as a reader has them. */
  readonly mistakes: readonly string[];
  /** Names of verdicts that do not hold. */
  readonly unproved: readonly string[];
  /** Why a monitor does not take it for its raster, and where its picture is not the loaded one. */
  readonly unlike: readonly string[];
}

/** Which promises are looked into; a proof takes seconds, a picture one. */
export interface Trial {
  readonly proof: boolean;
  readonly picture: boolean;
}

/** Writes a plan's circuit and holds it against what it promises. */
export function tryPlan(plan: Plan, trial: Trial): WrittenPlan {
  const kept = { refused: [], text: "", mistakes: [], unproved: [], unlike: [] };
  const refused = obstaclesToWriting(plan);
  const design = designOf(plan);
  if (refused.length > 0 || "notYet" in design) return { ...kept, refused };
  const text = writeCircuit(design, { title: "Try", about: "A try." });
  const { circuit, problems } = readCircuit(text, "try.circuit.yaml", { findPart });
  const mistakes = problems.map(formatProblem);
  if (!circuit || mistakes.length > 0) return { ...kept, text, mistakes };
  const unproved = trial.proof
    ? [...prove(underLoad(circuit)).verdicts, ...judgeElectrical(circuit).verdicts]
        .filter(({ state }) => state !== "holds")
        .map(({ name, state }) => `${name}: ${state}`)
    : [];
  if (!trial.picture) return { ...kept, text, unproved };

  const contents = new Map(
    circuit.chips.flatMap(({ ref, part }) => {
      const { memory } = part.behaviour;
      return memory ? [[ref, noise(2 ** memory.address.length)] as const] : [];
    }),
  );
  const unlike: string[] = [];
  const seen = shownDots(circuit, placeOf(design), contents);
  if (!seen.monitor.locked) return { ...kept, text, unproved, unlike: ["no monitor locks to it"] };
  if (!seen.monitor.against.meets) unlike.push(`a monitor takes it for ${seen.monitor.recognition.best.raster.id}`);
  const expected = expectedLines(design);
  const wrong = seen.lines.flatMap((line, index) => (line === expected[index] ? [] : [index]));
  if (seen.lines.length !== expected.length) unlike.push(`${seen.lines.length} lines in place of ${expected.length}`);
  if (wrong.length > 0) unlike.push(`${wrong.length} lines differ, first ${wrong[0]}`);
  if (seen.light > 0) unlike.push(`light outside the picture at ${seen.light} places`);
  if (seen.doubts.length > 0) unlike.push(`${seen.doubts.length} outcomes hang on delays`);
  return { ...kept, text, unproved, unlike };
}

/** Bytes that look random and differ from place to place. */
export function noise(length: number): Uint8Array {
  return Uint8Array.from({ length }, (_, address) => ((address * 40503) >> 7) & 0xff);
}

function placeOf(design: Design): Place {
  const { line, frame } = design;
  return {
    columns: design.columns,
    rows: design.rows,
    lineRepeat: design.lineRepeat,
    dotNs: 1e9 / inHertz(dotRate(design)),
    dotsFromSync: dotsPerCell(design) * (line.sync + line.backPorch),
    linesFromSync: frame.sync + frame.backPorch,
  };
}

/** Levels of the video nets of each dot, line by line, by the layout of the memory that the file's comments state. */
function expectedLines(design: Design): readonly string[] {
  const { column } = addressBits(design);
  const { content, columns, rows, lineRepeat } = design;
  const dots = dotsPerCell(design);
  const depth = 8 / dots;
  const memory = noise(2 ** 19);
  const byteAt = (row: number, cell: number) => {
    if (content.kind === "bitmap") return memory[row * 2 ** column + cell] ?? 0;
    const code = memory[Math.floor(row / content.characterRows) * 2 ** column + cell] ?? 0;
    return memory[code * content.characterRows + (row % content.characterRows)] ?? 0;
  };
  const isOneWire = design.output.kind === "composite 15 kHz";
  return Array.from({ length: rows * lineRepeat }, (_, line) => {
    const row = Math.floor(line / lineRepeat);
    return Array.from({ length: columns }, (_, x) => {
      const byte = byteAt(row, Math.floor(x / dots));
      const value = (byte >> (8 - depth * ((x % dots) + 1))) & (2 ** depth - 1);
      return isOneWire ? value.toString(2).padStart(depth, "0") : rgbOf(value, depth);
    }).join(" ");
  });
}

/** Levels of red, green and blue, the most significant first, for a dot's value. */
function rgbOf(value: number, depth: number): string {
  const bits = value.toString(2).padStart(depth, "0");
  const [a = "", b = ""] = bits;
  switch (depth) {
    case 1:
      return a + a + a;
    case 2:
      return a + b + b;
    default:
      return bits;
  }
}
