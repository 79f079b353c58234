/**
 * `npm run bench`: compiles src/ and bench/ into .cache/bench and runs every bench/*.bench.ts, one after the other, each in
 * a process of its own so that none warms up another. A name as argument picks one: `npm run bench -- prove`.
 */
import { existsSync, readdirSync } from "node:fs";
import { cpus } from "node:os";
import { join } from "node:path";
import { ensureInstalled, root, runNode } from "./ensure-installed.mjs";

ensureInstalled();
const wanted = process.argv[2] ?? "";
const folder = join(root, "bench");
const names = existsSync(folder)
  ? readdirSync(folder)
      .filter((file) => file.endsWith(".bench.ts") && file.includes(wanted))
      .map((file) => file.replace(/\.ts$/, ""))
      .sort()
  : [];
if (names.length === 0) {
  console.error(wanted ? `No bench/*.bench.ts has "${wanted}" in its name.` : "There is no bench/*.bench.ts.");
  process.exit(2);
}

const status = runNode("node_modules/typescript-native/bin/tsc", ["-p", "tsconfig.bench.json"]);
if (status !== 0) process.exit(status);

const processor = cpus()[0]?.model.trim() || "unknown processor";
console.log(`Node ${process.versions.node}, ${cpus().length} x ${processor}`);
for (const name of names) {
  console.log(`\n== ${name}`);
  const failed = runNode(`.cache/bench/bench/${name}.js`, process.argv.slice(3));
  if (failed !== 0) process.exitCode = failed;
}
