/** All mutants of a list of files. */
import { readFileSync } from "node:fs";
import { Instrumenter } from "@stryker-mutator/instrumenter";

const silent = { debug() {}, info() {}, warn() {}, isDebugEnabled: () => false };

/** The mutants of `files`, paths from the root, in the order of the text. */
export async function mutantsOf(files) {
  const texts = files.map((name) => ({ name, mutate: true, content: readFileSync(name, "utf8") }));
  const options = { plugins: [], ignorers: [], excludedMutations: [] };
  return (await new Instrumenter(silent).instrument(texts, options)).mutants;
}

/** What tells one mutant from all others. */
export function nameOf({ fileName, location: { start, end }, mutatorName, replacement }) {
  return [fileName, start.line, start.column, end.line, end.column, mutatorName, replacement].join(":");
}

/** Where a mutant is, as the mutation tester's option `mutate` takes it: lines from 1, columns from 0. */
export function placeOf({ fileName, location: { start, end } }) {
  return `${fileName}:${start.line + 1}:${start.column}-${end.line + 1}:${end.column}`;
}
