/**
 * `npm run build:desk -- FOLDER`: puts the desk into a folder (out/desk by default) from which it works without a server and
 * without a network, or from any web server, and says how much of it a browser loads.
 */
import { cpSync, readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { gzipSync } from "node:zlib";
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, root } from "./ensure-installed.mjs";

ensureInstalled();
ensureBuilt();
const folder = process.argv[2] === undefined ? join(root, "out/desk") : resolve(process.argv[2]);
cpSync(join(root, "dist/desk"), folder, { recursive: true });
for (const name of readdirSync(folder)) {
  const bytes = gzipSync(readFileSync(join(folder, name))).length;
  console.log(`${name}: ${Math.ceil(bytes / 1000)} kB compressed`);
}
console.log(`Open ${join(folder, "index.html")}`);
