import type { Finding } from "../raster/index.js";
import { type Markup, markup } from "./markup.js";

/** What a monitor remarks on, each with what to do. */
export function findingList(findings: readonly Finding[]): Markup | false {
  return (
    findings.length > 0 && markup`<ul>\n${findings.map(({ what, todo }) => markup`<li>${what} ${todo}</li>\n`)}</ul>\n`
  );
}
