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
/** What brings much of its own is a script of its own, loaded when it is first asked for. */
const scripted = {
  "examples.js": { script: "src/desk/examples/examples-script.ts", workers: {} },
  "planning.js": {
    script: "src/desk/planning/planning-script.ts",
    workers: { "worker:planning": "src/desk/planning/planning-worker.ts" },
  },
  "fill.js": { script: "src/desk/fill/fill-script.ts", workers: { "worker:fill": "src/desk/fill/fill-worker.ts" } },
  "bench.js": { script: "src/desk/bench/bench-script.ts", workers: { "worker:bench": "src/desk/bench/worker.ts" } },
  // Deciding what bounds leave open, and comparing with another version.
  "thorough.js": {
    script: "src/desk/thorough/thorough-script.ts",
    workers: { "worker:thorough": "src/desk/thorough/thorough-worker.ts" },
  },
  // The report lays diagrams out, by a library as large as all the rest.
  "report.js": {
    script: "src/desk/report/report-script.ts",
    workers: { "worker:report": "src/desk/report/report-worker.ts" },
  },
};

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
    return withoutMarks(output[0].code);
  } finally {
    await build.close();
  }
}

/** Marks for bundlers are of no use in a browser. */
function withoutMarks(code) {
  return code.replace(/(\w?)\/\* @__PURE__ \*\/ /g, (_, before) => (before === "" ? "" : `${before} `));
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

/** Writes the page, its styles and its scripts into `folder`. Needs the compiled src/ in dist/. */
async function bundleDesk(folder) {
  const { contentStyle, mono, sans } = await import(new URL("../dist/paper/index.js", import.meta.url).href);
  const script = await bundle("src/desk/main.ts", [workersAsText(await bundleAll(workers))]);
  const fonts = `:root{--sans:${sans};--mono:${mono}}`;
  const style = `${contentStyle}\n${fonts}\n${readFileSync(join(root, "src/desk/desk.css"), "utf8")}`;
  const page = readFileSync(join(root, "src/desk/index.html"), "utf8");
  mkdirSync(folder, { recursive: true });
  const files = { "index.html": page, "desk.js": script, "desk.css": style };
  for (const [name, { script: own, workers: theirs }] of Object.entries(scripted)) {
    files[name] = await bundle(own, [workersAsText(await bundleAll(theirs))]);
  }
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
}

await bundleDesk(join(root, "dist/desk"));
