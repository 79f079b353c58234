/** `npm run test:long`: the tests that take minutes, then the mutants of the proof; fails if either does. */
import { ensureInstalled, runNode } from "./ensure-installed.mjs";

ensureInstalled();
const codes = [
  runNode("node_modules/vitest/vitest.mjs", ["run", "--config", "vitest.long.config.ts"]),
  runNode("scripts/mutants.mjs", []),
];
process.exitCode = Math.max(...codes);
