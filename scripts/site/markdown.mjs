import MarkdownIt from "markdown-it";

/**
 * Markdown to HTML. Headings get the ids that a forge gives them, so that a link to a heading works there and here.
 *
 * @param {string} text
 * @param {(href: string) => string | undefined} link where a link leads on the site; undefined for what is not on it
 * @returns {{ html: string, title: string, sections: { id: string, title: string, text: string }[] }}
 */
export function renderMarkdown(text, link) {
  const markdown = new MarkdownIt({ html: false, linkify: false });
  const tokens = markdown.parse(text, {});
  const sections = [{ id: "", title: "", text: "" }];
  const slugs = new Map();
  for (const [index, token] of tokens.entries()) {
    if (token.type === "heading_open") {
      const title = plainText(tokens[index + 1]);
      token.attrSet("id", slugOf(title, slugs));
      sections.push({ id: String(token.attrGet("id")), title, text: "" });
    } else if (token.type === "inline" || token.type === "fence" || token.type === "code_block") {
      if (tokens[index - 1]?.type !== "heading_open") sections[sections.length - 1].text += `${plainText(token)}\n`;
    }
    if (token.type === "inline") relink(token.children ?? [], link);
    // A wide table scrolls by itself, by the keyboard too.
    if (token.type === "table_open") token.attrSet("class", "own");
    if (token.attrGet("style")?.includes("right")) token.attrSet("class", "number");
    token.attrs = token.attrs?.filter(([name]) => name !== "style") ?? null;
  }
  const html = markdown.renderer
    .render(tokens, markdown.options, {})
    .replaceAll(
      /<table class="own">[\s\S]*?<\/table>/g,
      (table) => `<div class="scrolling" tabindex="0">${table}</div>`,
    )
    .replaceAll("<pre>", '<pre class="scrolling" tabindex="0">');
  return { html, title: sections[1]?.title ?? "", sections: sections.slice(1) };
}

/** @param {import("markdown-it").Token | undefined} token */
function plainText(token) {
  if (!token?.children) return token?.content ?? "";
  return token.children.map(({ type, content }) => (type === "softbreak" ? " " : content)).join("");
}

/** @param {string} title @param {Map<string, number>} taken */
function slugOf(title, taken) {
  const slug = title
    .toLowerCase()
    .replaceAll(/[^\p{L}\p{N}\s_-]/gu, "")
    .replaceAll(/\s/g, "-");
  const count = taken.get(slug) ?? 0;
  taken.set(slug, count + 1);
  return count === 0 ? slug : `${slug}-${count}`;
}

/**
 * What a link leads to that is not on the site, such as a file of the source, stays as text.
 *
 * @param {import("markdown-it").Token[]} tokens @param {(href: string) => string | undefined} link
 */
function relink(tokens, link) {
  let isLost = false;
  for (const token of tokens) {
    if (token.type === "link_open") {
      const target = link(String(token.attrGet("href")));
      isLost = target === undefined;
      if (isLost) [token.tag, token.attrs] = ["span", []];
      else token.attrSet("href", target);
    } else if (token.type === "link_close" && isLost) token.tag = "span";
    else if (token.type === "image") token.attrSet("src", link(String(token.attrGet("src"))) ?? "");
  }
}
