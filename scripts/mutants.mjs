/**
 * `npm run mutants`: changes the proof's code (src/timing) in places taken at random, one at a time, and tells which changes no
 * test notices and what share of all changes the tests notice. `--size N` and `--seed N` take another sample, `--concurrency N`
 * says how many run at once.
 * `npm run mutants -- capture slices/alike`: every change of these files of src/timing.
 */
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { availableParallelism } from "node:os";
import { parseArgs } from "node:util";
import { ensureInstalled, root, runNode } from "./ensure-installed.mjs";
import { sampleOf, scoreInterval } from "./mutants/statistics.mjs";

/** The least share of a sample that must be noticed, in percent. */
const FLOOR = 50;
const SIZE = 200;
const SEED = 2;
const CHOSEN = "out/mutants-chosen.json";

ensureInstalled();
process.chdir(root);
// It imports what may have been installed only now.
const { mutantsOf, nameOf, placeOf } = await import("./mutants/list.mjs");
const { NOT_IN_SAMPLE } = await import("./mutants/chosen-checker.mjs");

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { seed: { type: "string" }, size: { type: "string" }, concurrency: { type: "string" } },
});
const concurrency = values.concurrency ?? String(Math.min(2, availableParallelism()));

/** Runs the mutants at those places, and of them only the chosen ones where there are such; their records. */
function run(places) {
  const code = runNode("node_modules/@stryker-mutator/core/bin/stryker.js", [
    ...["run", "stryker.config.mjs", "--concurrency", concurrency, "--mutate", places.join(",")],
  ]);
  if (code !== 0) process.exit(code);
  const { files } = JSON.parse(readFileSync("out/mutants.json", "utf8"));
  return Object.entries(files).flatMap(([fileName, { source, mutants }]) =>
    mutants.map((mutant) => ({ ...mutant, fileName, source })),
  );
}

const percent = (share) => `${(100 * share).toFixed(1)} %`;

/** `src/timing/capture.ts:88:13`, what stands there and what stood there in the mutant. */
function describe({ fileName, source, location: { start, end }, replacement, status }) {
  const lines = source.split("\n").slice(start.line - 1, end.line);
  const last = lines.length - 1;
  lines[last] = lines[last].slice(0, end.column - 1);
  lines[0] = lines[0].slice(start.column - 1);
  const short = (text) => text.replace(/\s+/g, " ").slice(0, 100);
  const why = status === "NoCoverage" ? " (no test comes here)" : "";
  return `${fileName}:${start.line}:${start.column}${why}\n  - ${short(lines.join("\n"))}\n  + ${short(replacement)}`;
}

/** Prints what was not noticed and the score; returns whether it is no less than the floor. */
function report(mutants, population) {
  const of = (...states) => mutants.filter(({ status }) => states.includes(status));
  const missed = of("Survived", "NoCoverage");
  const late = of("Timeout").length;
  const refused = of("CompileError").length;
  const tables = of("Ignored").length;
  const noticed = of("Killed", "RuntimeError").length + late;
  const size = noticed + missed.length;
  console.log(["", "Not noticed:", ...missed.map(describe), ""].join("\n"));
  if (refused > 0) console.log(`${refused} left out: the types refuse them.`);
  if (tables > 0) console.log(`${tables} left out: tables, which are made once, when a file is read.`);
  if (late > 0) console.log(`${late} of those noticed ran without end.`);
  const { least, most } = scoreInterval(noticed, size);
  const within = population
    ? `; of all such among ${population}, ${percent(least)} to ${percent(most)} (95 % confidence)`
    : "";
  console.log(`${noticed} of ${size} mutants noticed: ${percent(noticed / size)}${within}.`);
  return noticed / size >= FLOOR / 100;
}

let isEnough;
if (positionals.length > 0) {
  const names = positionals.map((name) => name.replace(/^src\/timing\//, "").replace(/\.ts$/, ""));
  isEnough = report(run(names.map((name) => `src/timing/${name}.ts`)));
} else {
  const files = readdirSync("src/timing", { recursive: true }).filter((name) => name.endsWith(".ts"));
  const all = await mutantsOf(files.map((name) => `src/timing/${name.replaceAll("\\", "/")}`).sort());
  const sample = sampleOf(all, Number(values.size ?? SIZE), Number(values.seed ?? SEED));
  mkdirSync("out", { recursive: true });
  writeFileSync(CHOSEN, JSON.stringify(sample.map(nameOf)));
  process.env.MUTANTS_CHOSEN = CHOSEN;
  isEnough = report(
    run(sample.map(placeOf)).filter(({ statusReason }) => statusReason !== NOT_IN_SAMPLE),
    all.length,
  );
}
if (!isEnough) console.error(`Less than the ${FLOOR} % that the tests must notice.`);
process.exitCode = isEnough ? 0 : 1;
