import { type Markup, markup, Markup as Raw, type Piece } from "../markup.js";
import { mono } from "../palette.js";

/** Parts of a book that share a running head and begin on a sheet of their own. */
export interface Chapter {
  /** Stands at the top of its pages. */
  readonly title: string;
  readonly sections: readonly Piece[];
}

/** Where an entry of the contents leads, and on which page it stands where that is known. */
export interface Entry {
  readonly id: string;
  readonly heading: string;
  readonly page?: number;
}

/** The chapters, each in pages of its own name, so that its title runs at the top of every one. */
export function chapterMarkup(chapters: readonly Chapter[]): Markup {
  return markup`${chapters.map(({ sections }, i) => markup`<div class="chapter chapter-${i}">\n${sections}</div>\n`)}`;
}

/** The headings of chapters in their order, from what they are made of. */
export function entriesOf(chapters: readonly Chapter[], pages: ReadonlyMap<string, number> = new Map()): Entry[] {
  const text = chapterMarkup(chapters).text;
  return [...text.matchAll(/<h2 id="([^"]*)">([^<]*)<\/h2>/g)].map(([, id = "", heading = ""]) => {
    const page = pages.get(id);
    return { id, heading, ...(page !== undefined && { page }) };
  });
}

/** The contents; page numbers stand there once the book was printed and read back. */
export function contents(entries: readonly Entry[]): Markup {
  const items = entries.map(
    ({ id, heading, page }) =>
      markup`<li><a href="#${id}"><span>${new Raw(heading)}</span><span class="leader"></span><span class="page-number">${page ?? ""}</span></a></li>\n`,
  );
  return markup`<nav class="contents" aria-label="Contents">\n<ol>\n${items}</ol>\n</nav>\n`;
}

/**
 * How a book is printed: the circuit's title and the chapter's run at the top, pages are numbered at the bottom (margin boxes of CSS
 * Paged Media Level 3), and every figure stays whole.
 */
export function bookStyle(title: string, madeBy: string, chapters: readonly Chapter[]): Markup {
  const head = 'font:8.5pt "Gill Sans Nova",Seravek,Candara,Ubuntu,"Noto Sans","DejaVu Sans",sans-serif;color:#5A5D59';
  const heads = chapters.map(
    ({ title: chapter }, i) =>
      `@page upright-${i}{size:A4;margin:18mm 14mm 16mm;@top-right{content:${cssString(chapter)};${head}}}
@page across-${i}{size:A4 landscape;margin:16mm 12mm 14mm;@top-right{content:${cssString(chapter)};${head}}}
.chapter-${i}{page:upright-${i}}
.chapter-${i} .across{page:across-${i}}`,
  );
  return new Raw(`@page{@top-left{content:${cssString(title)};${head}}
@bottom-left{content:${cssString(madeBy)};${head}}
@bottom-right{content:counter(page);${head}}}
.contents ol{list-style:none;padding:0;margin:0;max-width:100ch;columns:2 24ch;column-gap:36px}
.contents li{break-inside:avoid}
.contents a{display:flex;gap:8px;align-items:baseline;padding:3px 0;color:inherit;text-decoration:none}
.contents .leader{flex:1;border-bottom:1px dotted var(--hairline)}
.contents .page-number{min-width:2ch;text-align:right}
.job{font-size:19px;line-height:1.4;max-width:62ch}
.blank{border-bottom:.6px solid var(--ink);min-width:7rem;height:26px}
.ruled{border-bottom:.6px solid var(--hairline);height:30px}
.listing{font-family:${mono};font-size:12px;line-height:1.35;margin:0 0 10px;white-space:pre-wrap;overflow-wrap:anywhere}
.looks{display:grid;grid-template-columns:repeat(auto-fill,minmax(168px,1fr));gap:18px 16px;margin:0 0 16px}
.looks figure{margin:0;break-inside:avoid}
.looks .picture{width:100%}
.looks figcaption{font-size:12px;line-height:1.3;margin-top:4px}
.legend{columns:3 22ch;column-gap:24px;font-size:13px;margin:0 0 12px;padding:0;list-style:none;max-width:none}
.legend li{break-inside:avoid;margin:0 0 5px}
@media print{
${heads.join("\n")}
.chapter{break-before:page}
.chapter-0{break-before:auto}
.new-sheet{break-before:auto}
.sheet-figure+.sheet-figure{break-before:page}
.drawing{max-height:222mm;width:auto}
.across .drawing{max-height:130mm}
.across .sheet-figure .drawing{max-height:160mm}
.across .sheet-figure:first-of-type .drawing{max-height:140mm}
.sheet-figure{break-inside:avoid}
.job{font-size:15px}
.on-screen{display:none}
.listing{font-size:10.5px}
.looks{grid-template-columns:repeat(4,1fr);gap:12px 12px}
.looks figcaption{font-size:9.5px}
.legend{font-size:12px}
.tight td,.tight th{padding-top:1px;padding-bottom:1px}
.lines{font-size:10.5px}
.lines td.number,.lines .mono{font-size:10px}
.lines td,.lines th{padding-right:8px}
.contents{break-inside:avoid}
li{break-inside:avoid}
li:nth-last-child(2),li:nth-last-child(3),li:nth-last-child(4),tr:nth-last-child(2),tr:nth-last-child(3){break-after:avoid}
h3+p,caption,.across p,.account p{break-after:avoid}
.account{break-inside:avoid}
.answers li{padding:5px 0}
.answers .answer{font-size:13px}
.answers li{grid-template-columns:12rem minmax(0,1fr)}
}
`);
}

/** A string of a style sheet. Everything but letters and digits is escaped, whatever stands in a title. */
function cssString(text: string): string {
  return `"${[...text].map((letter) => (/[A-Za-z0-9 ,.]/.test(letter) ? letter : `\\${letter.codePointAt(0)?.toString(16)} `)).join("")}"`;
}
