import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { pageStyle } from "../../src/paper/page-style.js";
import { chapters } from "../../scripts/site/pages.mjs";
import { makeSite } from "../../scripts/site/site.mjs";
import { mistakesIn } from "../paper/html-mistakes.js";

const root = new URL("../../", import.meta.url).pathname;
const { pages, copies, entries } = makeSite(pageStyle);

/** What an attribute of a page's elements holds. */
function attribute(html: string, name: string): string[] {
  return [...html.matchAll(new RegExp(`\\s${name}="([^"]*)"`, "g"))].map(([, value]) => value ?? "");
}

describe("the documentation as a site", () => {
  test("has every page of docs/ in a chapter, once", () => {
    const listed = chapters.flatMap(({ pages: ofChapter }) => ofChapter.map(({ file }) => file));
    const written = readdirSync(join(root, "docs")).filter((name) => name.endsWith(".md"));
    expect(listed.filter((file) => file.startsWith("docs/")).sort()).toEqual(
      written.map((name) => `docs/${name}`).sort(),
    );
  });

  test.each([...pages])("%s links only to what is there, down to the heading", (name, html) => {
    const links = [...attribute(html, "href"), ...attribute(html, "src")];
    const lost = links.filter((link) => {
      if (/^(?:https?|data|mailto):/.test(link)) return false;
      const [path = "", fragment] = link.split("#");
      const target = path === "" ? name : path;
      if (fragment !== undefined && fragment !== "")
        return !attribute(pages.get(target) ?? "", "id").includes(fragment);
      return !pages.has(target) && !copies.has(target) && !["search.js", "desk/index.html"].includes(target);
    });
    expect(lost).toEqual([]);
    expect(links.length).toBeGreaterThan(chapters.length);
  });

  test.each([...pages])("%s is valid HTML", async (_, html) => {
    expect(await mistakesIn(html)).toEqual([]);
  });

  test("can be searched down to the sections, each at its place", () => {
    const turnAround = entries.find(({ title }) => title === "Turn-around");
    expect(turnAround?.href).toBe("rules.html#turn-around");
    expect(turnAround?.text).toContain("contention");
    expect(new Set(entries.map(({ href }) => href)).size).toBe(entries.length);
  });
});
