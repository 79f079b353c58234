import { type OwnFunction, type OwnParts, logicNumbersOf, parseLogicNumber, plainNumber } from "../../parts/index.js";
import { FileContext } from "../file-context.js";
import { OWN_PARTS_FILE } from "../file-kind.js";
import type { Problem } from "../problem.js";
import { Report } from "../report.js";
import { listOf, mapOf } from "../sections.js";
import { readYaml } from "../source.js";
import { checkStructure } from "../structure.js";
import type { Value } from "../value.js";
import { readFigures } from "./figures.js";
import { readFunction } from "./functions.js";
import { type StatedPart, warnOfGaps } from "./gap-warnings.js";
import { OWN_LIMITS } from "./limits.js";
import { readMemories } from "./memories.js";
import * as say from "./messages.js";
import { ownPartsFile } from "./shape.js";

export interface OwnPartsReading {
  /** What can be used of the file; absent where nothing can. What has mistakes is left out of it. */
  readonly parts?: OwnParts;
  /** The parts that the file states figures of. */
  readonly stated: readonly StatedPart[];
  /** Whether a part's number, or its function, stands in the file, perhaps with mistakes. */
  readonly mentions: (number: string) => boolean;
  /** All mistakes and doubts, in the order of the file. */
  readonly problems: readonly Problem[];
  readonly hasErrors: boolean;
}

/**
 * Reads a builder's own parts file. Never throws for any text; every mistake is a problem with its place, and figures that
 * nothing gives are warnings. `fileName` stands in the messages and in the source of every figure.
 */
export function readOwnParts(text: string, fileName: string): OwnPartsReading {
  const report = new Report(text, fileName, OWN_PARTS_FILE);
  const mentioned = new Set<string>();
  const done = (parts?: OwnParts, stated: readonly StatedPart[] = []): OwnPartsReading => ({
    ...(parts && { parts }),
    stated,
    mentions: (number) => mentioned.has(plainNumber(number)) || mentioned.has(functionIn(number)),
    problems: report.problems,
    hasErrors: report.hasErrors,
  });
  const source = readYaml(text, report);
  if (!source) return done();
  const context = new FileContext(source, report);
  if (isTooBig(source.root, context)) return done();
  const { root, isWhole } = checkStructure(source, report, ownPartsFile);
  const file = mapOf(root);

  for (const entry of [...listOf(file["figures"]), ...listOf(file["memories"])]) {
    const { part } = mapOf(entry);
    if (typeof part === "string") mentioned.add(plainNumber(part));
  }

  const functions = new Map<string, OwnFunction>();
  const broken = new Set<string>();
  const budget = { characters: OWN_LIMITS.logic };
  for (const [number, entry] of Object.entries(mapOf(file["functions"]))) {
    mentioned.add(number);
    const read = readFunction(number, entry, isWhole("functions", number), fileName, budget, context);
    if (read) functions.set(number, read);
    else broken.add(number);
  }
  const known = { own: functions, broken };
  const logic = readFigures(listOf(file["figures"]), known, (index) => isWhole("figures", index), context);
  const memories = readMemories(listOf(file["memories"]), known, context);
  const parts: OwnParts = { file: fileName, functions, logic, memories: memories.map(({ row }) => row) };
  const stated: readonly StatedPart[] = [
    ...logic.map(({ part, family, function: fn, at, figures }) => ({
      part,
      family,
      function: fn,
      at,
      volts: [...new Set(figures.rows.map((row) => row.volts))].slice(0, 8),
    })),
    ...memories.map(({ row, at }) => ({
      part: row.part,
      family: "",
      function: row.function,
      at,
      volts: [row.supply[0]],
      celsius: (row.ambient[0] + row.ambient[1]) / 2,
    })),
  ];
  if (!report.hasErrors) warnOfGaps(parts, stated, context);
  return done(parts, stated);
}

const ANY_FAMILY = logicNumbersOf(["[A-Z]+?"]);

function functionIn(number: string): string {
  return parseLogicNumber(number, ANY_FAMILY)?.function ?? "";
}

/** Refuses a file with more parts than any drawer has. */
function isTooBig(root: Value, context: FileContext): boolean {
  const file = mapOf(root);
  const rows = listOf(file["figures"]).map(mapOf);
  const entries = rows.flatMap((row) => [...listOf(row["delays"]), ...listOf(row["requirements"])]);
  const counts = [
    ["functions", "functions", Object.keys(mapOf(file["functions"])).length, OWN_LIMITS.functions],
    ["figures", "figures", rows.length, OWN_LIMITS.rows],
    ["figures", "delays and requirements", entries.length, OWN_LIMITS.entries],
    ["memories", "memories", listOf(file["memories"]).length, OWN_LIMITS.memories],
  ] as const;
  const over = counts.filter(([, , count, most]) => count > most);
  for (const [key, what, , most] of over) context.complainOfKey([key], say.tooManyOf(what, most));
  return over.length > 0;
}
