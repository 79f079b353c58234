/**
 * Installs the dependencies when node_modules is absent or is not what package-lock.json asks for.
 * Uses nothing but Node itself, because on a fresh clone there is nothing else.
 */
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

export const root = fileURLToPath(new URL("..", import.meta.url));

/** Runs a program in the project's root with its output passed through; returns its exit code. */
export function run(program, args) {
  const onWindows = process.platform === "win32";
  const done = spawnSync(program, args, { cwd: root, stdio: "inherit", shell: onWindows });
  if (done.error) console.error(`${program} could not be started: ${done.error.message}`);
  return done.status ?? 1;
}

/** Runs a program from node_modules by the path of its script, so that no shell or PATH is involved. */
export function runNode(script, args) {
  const done = spawnSync(process.execPath, [script, ...args], { cwd: root, stdio: "inherit" });
  return done.status ?? 1;
}

function readLock(path) {
  try {
    return JSON.parse(readFileSync(`${root}/${path}`, "utf8")).packages;
  } catch {
    return undefined;
  }
}

/**
 * npm writes down what it has installed in node_modules/.package-lock.json, as the last thing it does. Comparing the two
 * lists also accepts a hand-run `npm install`, which a stamp of our own would not. Optional packages are those of other
 * platforms, so they may be absent.
 */
function matchesLock() {
  const wanted = readLock("package-lock.json");
  const present = readLock("node_modules/.package-lock.json");
  if (!wanted || !present) return false;
  const differs = Object.entries(wanted).some(([path, entry]) => {
    if (path === "") return false;
    const installed = present[path];
    if (!installed) return !entry.optional;
    return installed.version !== entry.version || installed.integrity !== entry.integrity;
  });
  return !differs && Object.keys(present).every((path) => path in wanted);
}

function refuseOldNode() {
  const [major = 0, minor = 0] = process.versions.node.split(".").map(Number);
  if (major > 20 || (major === 20 && minor >= 19)) return;
  console.error(`Dotwright needs Node 20.19 or later; this is Node ${process.versions.node}.`);
  process.exit(1);
}

/** Leaves node_modules as package-lock.json says, or ends the process with npm's exit code. */
export function ensureInstalled() {
  refuseOldNode();
  if (matchesLock()) return;
  console.error("Installing the dependencies (npm ci) ...");
  const status = run("npm", ["ci", "--include=dev", "--no-fund", "--no-audit"]);
  if (status !== 0) process.exit(status);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) ensureInstalled();
