/** `npm start`: whatever is missing is installed and built, then the main job runs on the bundled example. */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, root, runNode } from "./ensure-installed.mjs";

const example = "examples/tide-board.circuit.yaml";
const report = "out/tide-board.html";

ensureInstalled();
ensureBuilt();
const status = runNode("dist/cli/main.js", ["report", example, "--output", report]);
if (status < 2 && existsSync(join(root, report))) console.log(`\nOpen the report in a browser: ${join(root, report)}`);
process.exitCode = status;
