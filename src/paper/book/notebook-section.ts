import type { Notebook } from "../../bench/index.js";
import { type Markup, markup } from "../markup.js";
import { section } from "../page.js";

/** What was built, measured, found and changed at the bench so far, with room for more. */
export function notebookSection({ entries, problems }: Notebook): Markup {
  return section({
    id: "notebook",
    heading: "Bench notebook",
    content: markup`<table class="own">
<thead><tr><th scope="col">when</th><th scope="col">what</th><th scope="col"></th></tr></thead>
<tbody>
${entries.map(({ when, kind, text }) => markup`<tr><td>${when}</td><td>${kind}</td><td>${text}</td></tr>\n`)}</tbody>
</table>
${problems.length > 0 && markup`<p>Not read, as no entries: ${problems.map(({ line }) => `line ${line}`).join(", ")}.</p>\n`}${Array.from({ length: 6 }, () => markup`<div class="ruled"></div>\n`)}`,
  });
}
