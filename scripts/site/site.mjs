import { existsSync, readFileSync, statSync } from "node:fs";
import { dirname, join, normalize, relative } from "node:path";
import { root } from "../ensure-installed.mjs";
import { renderMarkdown } from "./markdown.mjs";
import { chapters } from "./pages.mjs";

/**
 * The documentation as files of a site that works from a folder, without a server and without a network.
 *
 * @param {string} style the style of the project's pages
 * @returns {{ pages: Map<string, string>, copies: Map<string, string>, entries: object[] }} pages by their name; files to
 *   copy, by their place on the site; what the search finds
 */
export function makeSite(style) {
  const names = new Map(chapters.flatMap(({ pages }) => pages.map(({ file, name }) => [file, name])));
  const pages = new Map();
  const copies = new Map();
  const entries = [];
  for (const { title: chapter, pages: ofChapter } of chapters) {
    for (const { file, name } of ofChapter) {
      const { html, title, sections } = renderMarkdown(readFileSync(join(root, file), "utf8"), (href) =>
        siteLink(file, href, names, copies),
      );
      pages.set(name, page({ name, title, html, style }));
      for (const section of sections) {
        const href = section.id === "" ? name : `${name}#${section.id}`;
        entries.push({ id: entries.length, href, page: title, chapter, title: section.title, text: section.text });
      }
    }
  }
  return { pages, copies, entries };
}

/**
 * The desk's page as it stands on the site: it knows where the documentation is.
 *
 * @param {string} html @returns {string}
 */
export function deskOnSite(html) {
  return html.replace("<html ", '<html data-docs="../index.html" ');
}

/**
 * @param {string} from the Markdown file that has the link @param {string} href
 * @param {Map<string, string>} names @param {Map<string, string>} copies gets what the site must hold beside its pages
 */
function siteLink(from, href, names, copies) {
  if (/^[a-z]+:/.test(href) || href.startsWith("#")) return href;
  const [path = "", fragment] = href.split("#");
  const file = normalize(join(dirname(from), path));
  const name = names.get(file);
  if (name) return fragment === undefined ? name : `${name}#${fragment}`;
  // The source, the tests and the figures are not on the site: they stay in the repository.
  if (/^(?:src|test|scripts|data|bench)\b/.test(file) || file === "LICENSE") return undefined;
  if (!existsSync(join(root, file))) throw new Error(`${from}: there is no ${file}, to which it links`);
  if (statSync(join(root, file)).isDirectory()) return undefined;
  copies.set(file, file);
  return relative(".", file);
}

/** @param {{ name: string, title: string, html: string, style: string }} content */
function page({ name, title, html, style }) {
  const links = chapters.map(
    ({ title: chapter, pages }) =>
      `<p class="chapter">${escape(chapter)}</p><ul>${pages
        .map(({ file, name: other }) => {
          const current = other === name ? ' aria-current="page"' : "";
          return `<li><a href="${other}"${current}>${escape(titleOf(file))}</a></li>`;
        })
        .join("")}</ul>`,
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escape(title)}${name === "index.html" ? "" : " · Dotwright"}</title>
<link rel="icon" href="data:,">
<style>${style}${siteStyle}</style>
<script src="search.js" defer></script>
</head>
<body>
<a class="skip" href="#page-text">To the text</a>
<div class="part">
<nav class="margin" aria-label="Pages">
<p><a href="desk/index.html">Open the desk</a></p>
<search><label>Search <input type="search" id="page-search" autocomplete="off"></label><ol id="page-found" aria-live="polite"></ol></search>
${links.join("\n")}
</nav>
<main class="content" id="page-text" tabindex="-1">
${html}
</main>
</div>
</body>
</html>
`;
}

const siteStyle = `
.skip{position:absolute;left:-999px}.skip:focus{left:8px;top:8px;background:var(--paper);padding:4px 8px}
nav .chapter{font-size:13px;color:var(--quiet);margin:16px 0 4px}
nav ul,nav ol{list-style:none;padding:0;margin:0;font-size:13px}
nav li{padding:2px 0}
nav a[aria-current]{color:inherit;font-weight:600;text-decoration:none}
nav input{width:100%;font:inherit;padding:3px 6px;border:1px solid var(--quiet);background:none;color:inherit}
#page-found{margin:4px 0}
#page-found .quiet{display:block}
main h2{margin:32px 0 8px}
main h1{margin:0 0 14px}
main pre{padding:8px 0 8px 14px;border-left:2px solid var(--hairline);margin:0 0 14px;line-height:1.35}
main code{font-family:"Cascadia Code","Ubuntu Mono",Consolas,Menlo,"Noto Sans Mono","DejaVu Sans Mono",monospace;font-size:12.5px}
main p:has(>img){max-width:none}
main img{max-width:100%;height:auto;background:#FBFAF5}
main td,main th{min-width:5rem}
`;

/** @param {string} file */
function titleOf(file) {
  const heading = /^# (.+)$/m.exec(readFileSync(join(root, file), "utf8"))?.[1] ?? file;
  return heading.split(":")[0] ?? heading;
}

/** @param {string} text */
function escape(text) {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;");
}
