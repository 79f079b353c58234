/**
 * `npm run build:site -- FOLDER`: puts the documentation and the desk into a folder (out/site by default) that works without
 * a server and without a network, or from any web server.
 */
import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { rolldown } from "rolldown";
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, root } from "./ensure-installed.mjs";
import { deskOnSite, makeSite } from "./site/site.mjs";

ensureInstalled();
ensureBuilt();
const { pageStyle } = await import("../dist/paper/page-style.js");
const folder = process.argv[2] === undefined ? join(root, "out/site") : resolve(process.argv[2]);
const { pages, copies, entries } = makeSite(pageStyle);

mkdirSync(folder, { recursive: true });
for (const [name, html] of pages) writeFileSync(join(folder, name), html);
for (const [from, to] of copies) {
  mkdirSync(dirname(join(folder, to)), { recursive: true });
  cpSync(join(root, from), join(folder, to));
}
rmSync(join(folder, "desk"), { recursive: true, force: true });
cpSync(join(root, "dist/desk"), join(folder, "desk"), { recursive: true });
const desk = join(folder, "desk/index.html");
writeFileSync(desk, deskOnSite(readFileSync(desk, "utf8")));
await bundleSearch();
console.log(`${pages.size} pages, ${copies.size} files beside them, ${entries.length} sections to search`);
console.log(`Open ${join(folder, "index.html")}`);

/** A classic script with the text in it: a page that is opened from a disk may load neither modules nor data. */
async function bundleSearch() {
  const name = "site-entries";
  const bundle = await rolldown({
    input: join(root, "scripts/site/search.js"),
    plugins: [
      {
        name,
        resolveId: (id) => (id === name ? name : undefined),
        load: (id) => (id === name ? `export const entries = ${JSON.stringify(entries)};` : undefined),
      },
    ],
  });
  await bundle.write({ file: join(folder, "search.js"), format: "iife", minify: true });
  await bundle.close();
}
