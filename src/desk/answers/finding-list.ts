import { type Markup, markup } from "../../paper/index.js";
import type { Finding } from "../../raster/index.js";

/** What a monitor remarks on, each with what to do. */
export function findingList(findings: readonly Finding[]): Markup {
  if (findings.length === 0) return markup``;
  return markup`<ul>\n${findings.map(({ what, todo }) => markup`<li>${what} ${todo}</li>\n`)}</ul>\n`;
}
