import MiniSearch from "minisearch";
import { entries } from "site-entries";

/** The site's search: all in the page, so that it works without a server. */
const index = new MiniSearch({
  fields: ["title", "text", "page"],
  storeFields: ["href", "title", "page"],
  // Pins, nets and figures are words here: `CLR#`, `tOH`, `74HC163`.
  tokenize: (text) => text.split(/[^\p{L}\p{N}#_.-]+/u).filter((word) => word !== ""),
  searchOptions: { boost: { title: 4, page: 2 }, prefix: true, fuzzy: 0.15, combineWith: "AND" },
});
index.addAll(entries);

const input = document.querySelector("#page-search");
const found = document.querySelector("#page-found");
input.addEventListener("input", () => {
  const hits = input.value.trim() === "" ? [] : index.search(input.value).slice(0, 12);
  found.replaceChildren(...hits.map(item));
  if (input.value.trim() !== "" && hits.length === 0) found.textContent = "Nothing found. Try a single word.";
});

function item({ href, title, page }) {
  const link = document.createElement("a");
  link.href = href;
  link.textContent = title;
  const line = document.createElement("li");
  line.append(link);
  if (page !== title) {
    const of = document.createElement("span");
    of.className = "quiet";
    of.textContent = page;
    line.append(of);
  }
  return line;
}
