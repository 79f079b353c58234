/** `npm run growth`: compiles src/ and bench/ and measures how the proof grows; writes docs/growth.md and its drawing. */
import { ensureInstalled, runNode } from "./ensure-installed.mjs";

ensureInstalled();
const compiled = runNode("node_modules/typescript-native/bin/tsc", ["-p", "tsconfig.bench.json"]);
process.exitCode = compiled === 0 ? runNode(".cache/bench/bench/growth.js", []) : compiled;
