/**
 * `npm start`: whatever is missing is installed and built. Then the desk serves the bundled example until Ctrl-C, and beside
 * it the report on the example is written.
 */
import { spawn } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, root } from "./ensure-installed.mjs";

const example = "examples/tide-board.circuit.yaml";
/** The desk is given a copy to write to, so that the example stays what it is. */
const copy = "out/tide-board.circuit.yaml";
const report = "out/tide-board.html";

ensureInstalled();
ensureBuilt();
process.chdir(root);
if (!existsSync(copy)) {
  mkdirSync("out", { recursive: true });
  copyFileSync(example, copy);
} else if (readFileSync(copy, "utf8") !== readFileSync(example, "utf8")) {
  console.log(`${copy} is your own by now; delete it to begin with ${example} again.`);
}

const program = join(root, "dist/cli/main.js");
const writing = spawn(
  process.execPath,
  [program, "report", example, "--output", report, "--without", "gallery", "--quiet"],
  {
    stdio: ["ignore", "pipe", "inherit"],
  },
);
let answers = "";
writing.stdout.on("data", (text) => (answers += text));
writing.on("close", () => {
  if (answers !== "") console.log(`\n${answers}`);
});
process.on("exit", () => writing.kill());

// The desk runs in this very process, so that Ctrl-C and the signals of whoever started it reach it.
process.argv.splice(1, process.argv.length, program, "desk", copy, ...process.argv.slice(2));
await import("../dist/cli/main.js");
writing.kill();
