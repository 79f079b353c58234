/** `npm run coverage`: writes docs/coverage.md anew from the figures on record, with the built tool. */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { ensureBuilt } from "./ensure-built.mjs";
import { ensureInstalled, root } from "./ensure-installed.mjs";

ensureInstalled();
ensureBuilt();
const { coveragePage } = await import("../dist/paper/index.js");
writeFileSync(join(root, "docs/coverage.md"), coveragePage());
console.log("docs/coverage.md");
