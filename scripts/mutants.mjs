/**
 * `npm run mutants [FILE...]`: changes the proof's code in one place after the other and tells which changes no test notices.
 * Files are names in src/timing, such as `capture` or `slices/alike`; without any, those whose score is held in `docs/proof.md`.
 */
import { availableParallelism } from "node:os";
import { ensureInstalled, runNode } from "./ensure-installed.mjs";

/** Files that are held to the score of `stryker.config.mjs`. */
const HELD = ["address-cycle", "moments"];

ensureInstalled();
const names = process.argv.slice(2).map((name) => name.replace(/^src\/timing\//, "").replace(/\.ts$/, ""));
const files = (names.length > 0 ? names : HELD).map((name) => `src/timing/${name}.ts`);
process.exitCode = runNode("node_modules/@stryker-mutator/core/bin/stryker.js", [
  ...["run", "stryker.config.mjs", "--mutate", files.join(",")],
  ...["--concurrency", String(Math.min(2, availableParallelism()))],
]);
