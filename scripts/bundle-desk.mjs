/**
 * Bundles the desk into dist/desk (run by ensure-built.mjs), a folder that works from any web server and from the folder
 * itself: a page opened from a disk may load scripts and styles beside it, but no modules and no workers, so the page's
 * script is one classic script that carries its workers as text.
 */
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { rolldown } from "rolldown";
import { root } from "./ensure-installed.mjs";

const workers = { "worker:desk": "src/desk/worker.ts" };
/** What fills the memory brings much of its own, so that it is a script of its own, loaded when that page is first opened. */
const fillWorkers = { "worker:fill": "src/desk/fill/fill-worker.ts" };
/** What makes the report lays diagrams out, by a library as large as all the rest. */
const reportWorkers = { "worker:report": "src/desk/report/report-worker.ts" };

async function bundle(input, plugins = []) {
  const build = await rolldown({
    input: join(root, input),
    cwd: root,
    platform: "browser",
    moduleTypes: { ".yaml": "text" },
    plugins,
    // Our own modules only define: one of which nothing is used is left out with all that it imports.
    treeshake: { moduleSideEffects: (id) => !id.startsWith(join(root, "src/")) },
    onLog(level, log) {
      if (level !== "info") throw new Error(log.message);
    },
  });
  try {
    const { output } = await build.generate({ format: "iife", minify: true, codeSplitting: false });
    return output[0].code;
  } finally {
    await build.close();
  }
}

function workersAsText(codes) {
  return {
    name: "workers-as-text",
    resolveId: (id) => (id in codes ? { id } : null),
    load: (id) => (id in codes ? `export default ${JSON.stringify(codes[id])};` : null),
  };
}

async function bundleAll(inputs) {
  const codes = {};
  for (const [id, input] of Object.entries(inputs)) codes[id] = await bundle(input);
  return codes;
}

/** Writes index.html, desk.js, fill.js, report.js and desk.css into `folder`. Needs the compiled src/ in dist/. */
async function bundleDesk(folder) {
  const { contentStyle, mono, sans } = await import(new URL("../dist/paper/index.js", import.meta.url).href);
  const script = await bundle("src/desk/main.ts", [workersAsText(await bundleAll(workers))]);
  const fill = await bundle("src/desk/fill/fill-script.ts", [workersAsText(await bundleAll(fillWorkers))]);
  const report = await bundle("src/desk/report/report-script.ts", [workersAsText(await bundleAll(reportWorkers))]);
  const fonts = `:root{--sans:${sans};--mono:${mono}}`;
  const style = `${contentStyle}\n${fonts}\n${readFileSync(join(root, "src/desk/desk.css"), "utf8")}`;
  const page = readFileSync(join(root, "src/desk/index.html"), "utf8");
  mkdirSync(folder, { recursive: true });
  const files = { "index.html": page, "desk.js": script, "fill.js": fill, "report.js": report, "desk.css": style };
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
}

await bundleDesk(join(root, "dist/desk"));
