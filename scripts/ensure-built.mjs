/**
 * Compiles src/ into dist/ and bundles the desk into dist/desk/ when their sources have changed since the last build, and
 * makes `npx dotwright` find it.
 */
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

const entry = join(root, "dist/cli/main.js");
const link = join(root, "node_modules/.bin/dotwright");

/** The two builds: what each makes, what it reads, and the stamp by which it knows that nothing has changed. */
const program = {
  stamp: join(root, "dist/.sources"),
  makes: entry,
  inputs: () => [
    ...filesBelow("src").filter((path) => !path.startsWith("src/desk/")),
    "tsconfig.json",
    "tsconfig.build.json",
    "package-lock.json",
  ],
};
const desk = {
  stamp: join(root, "dist/.desk-sources"),
  makes: join(root, "dist/desk/desk.js"),
  inputs: () => [
    ...["src", "data", "examples"].flatMap(filesBelow),
    "scripts/bundle-desk.mjs",
    "package.json",
    "package-lock.json",
  ],
};

/** Paths of all files below a folder of the project, sorted. */
function filesBelow(folder) {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((item) => item.isFile())
    .map((item) => join(item.parentPath ?? item.path, item.name).slice(root.length))
    .map((path) => path.replaceAll("\\", "/"))
    .sort();
}

/** A fingerprint of everything that a build reads: contents, because a checkout sets file times anew. */
function fingerprint(paths) {
  const hash = createHash("sha256");
  for (const path of paths) {
    hash
      .update(path)
      .update("\0")
      .update(readFileSync(join(root, path)))
      .update("\0");
  }
  return hash.digest("hex");
}

/** Runs a build where its inputs have changed, or ends the process with its exit code. */
function buildIfChanged({ stamp, makes, inputs }, says, build) {
  const wanted = fingerprint(inputs());
  const built = existsSync(stamp) && existsSync(makes) ? readFileSync(stamp, "utf8") : "";
  if (built === wanted) return;
  console.error(says);
  rmSync(stamp, { force: true });
  const status = build();
  if (status !== 0) process.exit(status);
  writeFileSync(stamp, wanted);
}

function compile() {
  if (!existsSync(entry)) rmSync(join(root, "dist"), { recursive: true, force: true });
  const status = runNode("node_modules/typescript-native/bin/tsc", ["-p", "tsconfig.build.json"]);
  if (status === 0) removeLeftovers();
  return status;
}

/** Removes what an earlier build made from sources that are gone, so that nothing can still import it. */
function removeLeftovers() {
  const sources = new Set(filesBelow("src").map((path) => path.replace(/^src\/(.*)\.ts$/, "$1")));
  for (const path of filesBelow("dist")) {
    const made = /^dist\/(?!desk\/)(.+?)(\.d\.ts|\.js|\.js\.map)$/.exec(path);
    if (made && !sources.has(made[1])) rmSync(join(root, path));
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

/** Leaves dist/ as the sources say, or ends the process with the exit code of what failed. */
export function ensureBuilt() {
  buildIfChanged(program, "Building ...", compile);
  buildIfChanged(desk, "Bundling the desk ...", () => runNode("scripts/bundle-desk.mjs", []));
  linkProgram();
}

if (process.argv[1] === fileURLToPath(import.meta.url)) ensureBuilt();
