import { readdirSync } from "node:fs";
import { join } from "node:path";
import { root } from "../ensure-installed.mjs";

/**
 * The pages of the documentation in the order in which one reads them. `file` is the Markdown in the repository, `name` the
 * page on the site.
 *
 * @typedef {{ file: string, name: string }} Page
 * @typedef {{ title: string, pages: Page[] }} Chapter
 */

const docs = (/** @type {string[]} */ ...names) =>
  names.map((name) => ({ file: `docs/${name}.md`, name: `${name}.html` }));

/** @type {Chapter[]} */
const ordered = [
  {
    title: "Start here",
    pages: [{ file: "README.md", name: "index.html" }, ...docs("tutorial", "plan", "tide-board", "desk")],
  },
  {
    title: "Is it right?",
    pages: docs("rules", "proof", "certificates", "electrical", "power", "video-output", "repair", "growth"),
  },
  { title: "What does it show?", pages: docs("simulation", "scripts", "loading") },
  { title: "On the bench", pages: docs("book", "bring-up", "diagnose") },
  { title: "Parts", pages: docs("figures", "coverage", "own-parts", "processors") },
  { title: "Reference", pages: docs("library", "circuit-file", "own-parts-file", "commands", "sources") },
  {
    title: "Inside",
    pages: [
      { file: "ARCHITECTURE.md", name: "architecture.html" },
      { file: "CONTRIBUTING.md", name: "contributing.html" },
      { file: "CHANGELOG.md", name: "changelog.html" },
    ],
  },
];

const placed = new Set(ordered.flatMap(({ pages }) => pages.map(({ name }) => name)));
/** Pages of docs/ that have no place yet. */
const others = docs(
  ...readdirSync(join(root, "docs"))
    .filter((file) => file.endsWith(".md") && !placed.has(file.replace(/md$/, "html")))
    .map((file) => file.replace(/\.md$/, ""))
    .sort(),
);

/** @type {Chapter[]} */
export const chapters = others.length === 0 ? ordered : [...ordered, { title: "More", pages: others }];
