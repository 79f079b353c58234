/** Compiles src/ into dist/ when the sources have changed since the last build, and makes `npx dotwright` find it. */
import { createHash } from "node:crypto";
import {
  chmodSync,
  existsSync,
  mkdirSync,
  readFileSync,
  readdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { root, runNode } from "./ensure-installed.mjs";

const stampFile = join(root, "dist/.sources");
const entry = join(root, "dist/cli/main.js");
const link = join(root, "node_modules/.bin/dotwright");

/** Paths of all files below a folder of the project, relative to that folder, sorted. */
function filesBelow(folder) {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((item) => item.isFile())
    .map((item) => join(item.parentPath ?? item.path, item.name).slice(join(root, folder).length + 1))
    .sort();
}

/** A fingerprint of everything that the build reads: contents, because a checkout sets file times anew. */
function fingerprint() {
  const hash = createHash("sha256");
  const inputs = filesBelow("src").map((path) => `src/${path}`);
  for (const path of [...inputs, "tsconfig.json", "tsconfig.build.json", "package-lock.json"]) {
    hash
      .update(path)
      .update("\0")
      .update(readFileSync(join(root, path)))
      .update("\0");
  }
  return hash.digest("hex");
}

/** Removes what an earlier build made from sources that are gone, so that nothing can still import it. */
function removeLeftovers() {
  const sources = new Set(filesBelow("src").map((path) => path.replace(/\.ts$/, "")));
  for (const path of filesBelow("dist")) {
    const made = /^(.+?)(\.d\.ts|\.js|\.js\.map)$/.exec(path);
    if (made && !sources.has(made[1])) rmSync(join(root, "dist", path));
  }
}

/** npm links the programs of dependencies but not the package's own. Windows needs no link: npx falls back on package.json. */
function linkProgram() {
  if (!existsSync(entry)) return;
  chmodSync(entry, 0o755);
  if (existsSync(link) || process.platform === "win32") return;
  mkdirSync(dirname(link), { recursive: true });
  rmSync(link, { force: true });
  symlinkSync("../../dist/cli/main.js", link);
}

/** Leaves dist/ as src/ says, or ends the process with the compiler's exit code. */
export function ensureBuilt() {
  const wanted = fingerprint();
  const built = existsSync(stampFile) && existsSync(entry) ? readFileSync(stampFile, "utf8") : "";
  if (built !== wanted) {
    console.error("Building ...");
    rmSync(stampFile, { force: true });
    if (!existsSync(entry)) rmSync(join(root, "dist"), { recursive: true, force: true });
    const status = runNode("node_modules/typescript/bin/tsc", ["-p", "tsconfig.build.json"]);
    if (status !== 0) process.exit(status);
    removeLeftovers();
    writeFileSync(stampFile, wanted);
  }
  linkProgram();
}

if (process.argv[1] === fileURLToPath(import.meta.url)) ensureBuilt();
