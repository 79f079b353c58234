/**
 * `npm test`: whatever is missing is installed and built, then types, lint, formatting, boundaries and every test.
 * Arguments go on to vitest (`npm test -- test/cli`). All steps run even when one fails, so that one run tells everything;
 * vitest comes last, so that its summary closes the output.
 */
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, run, runNode } from "./ensure-installed.mjs";

ensureInstalled();
ensureBuilt();
const failed = ["types", "lint", "format", "boundaries"].filter((name) => {
  console.log(`\n== check:${name}`);
  return run("npm", ["run", "--silent", `check:${name}`]) !== 0;
});
console.log("\n== tests");
const tests = runNode("node_modules/vitest/vitest.mjs", ["run", ...process.argv.slice(2)]);
if (failed.length > 0) console.error(`Failed before the tests: ${failed.map((name) => `check:${name}`).join(", ")}`);
process.exitCode = tests !== 0 ? tests : failed.length > 0 ? 1 : 0;
