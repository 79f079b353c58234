import type { BusView } from "./bus-view.js";
import type { FunctionTable } from "./function-table.js";
import { type Markup, markup, type Piece } from "./markup.js";
import { page as wholePage, scrolling, section } from "./page.js";
import type { DelayLine, RequirementLine } from "./part-figures.js";
import type { LevelLine, PartLevels } from "./part-levels.js";
import type { PartPage, SubstituteLine } from "./part-page.js";
import {
  isMemoryPage,
  lettersOf,
  lettersWords,
  levelLetterWords,
  levelMark,
  levelsWords,
  listedSubstitutes,
  negationWords,
  packagesWords,
  signsWords,
  substituteWords,
  tenthsOf,
  typicalWords,
  undescribedWords,
} from "./part-page-words.js";
import { drawPinMap } from "./pin-map-drawing.js";
import { SourceList } from "./source-list.js";

/** A part as one HTML page, in the order of a data sheet, with the look of the report. */
export function partPageHtml(page: PartPage, madeBy: string): string {
  return wholePage(`${page.number}: ${page.title}`, markup`<main>\n${partPageSections(page, madeBy)}</main>\n`);
}

/** The same without the page around it. */
export function partPageSections(page: PartPage, madeBy: string): Markup {
  const sources = new SourceList();
  const letters = lettersWords(page);
  const legend = letters !== "" && markup`<p>${letters}</p>`;
  const { tables, logic } = page.functions;
  const { shown, rest } = listedSubstitutes(page);
  const isMemory = isMemoryPage(page);
  const body: Piece[] = [
    titlePart(page, madeBy),
    section({
      id: "pins",
      heading: "Pins, seen from above",
      notes: markup`<p>${packagesWords(page)}</p>${page.undescribed.length > 0 && markup`<p>${undescribedWords(page)}</p>`}`,
      content: markup`<figure>\n<figcaption>${page.pinMap.package}. Pins: ${page.pinMap.source}</figcaption>\n${drawPinMap(page.pinMap, "pins-of-part").svg}</figure>\n`,
    }),
    (tables.length > 0 || logic.length > 0) &&
      section({
        id: "function",
        heading: "Function",
        notes: markup`${tables.length > 0 && markup`<p>${signsWords(tables)}</p>`}${logic.length > 0 && markup`<p>${negationWords}</p>`}`,
        content: scrolling("Function tables", [...tables.map(functionTable), ...logic.map(logicLine)]),
      }),
    page.oscillation.length > 0 &&
      section({ id: "output", heading: "Output", content: page.oscillation.map((line) => markup`<p>${line}</p>\n`) }),
    page.delays.length > 0 &&
      section({
        id: "delays",
        heading: "Delays",
        notes: markup`<p>${page.conditions}.</p><p>${typicalWords}</p>${legend}`,
        content: scrolling("Table of delays", delayTable(page.delays, sources)),
      }),
    page.requirements.length > 0 &&
      section({
        id: "requirements",
        heading: isMemory ? "Times" : "Requirements",
        notes: markup`<p>${page.conditions}.</p>${legend}`,
        content: scrolling("Table of what it asks", requirementTable(page.requirements, isMemory, sources)),
      }),
    page.levels &&
      section({
        id: "levels",
        heading: "Levels",
        notes: markup`<p>${levelsWords(page.levels)}</p>${levelLetterWords(page.levels) !== "" && markup`<p>${levelLetterWords(page.levels)}</p>`}`,
        content: scrolling("Table of levels", levelTable(page.levels, sources)),
      }),
    page.bus && busSection(page.bus, sources),
    shown.length > 0 &&
      section({
        id: "substitutes",
        heading: "In its place, with the same pins",
        notes: markup`<p>${substituteWords}</p>${rest > 0 && markup`<p>And ${rest} more, faster or slower still.</p>`}`,
        content: scrolling("Parts in its place", substituteTable(shown)),
      }),
    sourcesSection(page, sources),
  ];
  return markup`${body}`;
}

function titlePart({ number, title, family }: PartPage, madeBy: string): Markup {
  const lines = family.map((line) => markup`<p class="quiet">${line}</p>\n`);
  return markup`<header>
<div class="margin"></div>
<div class="content"><h1>${number}: ${title}</h1>
${lines}<p class="quiet small">Made by ${madeBy}.</p></div>
</header>
`;
}

function functionTable({ about, inputs, outputs, rows }: FunctionTable): Markup {
  const hasRemarks = rows.some(({ remark }) => remark !== "");
  const cells = (marks: readonly string[], first: string) =>
    marks.map((mark, i) => markup`<td class="mono${i === 0 ? first : ""}">${mark}</td>`);
  const heads = (names: readonly string[], first: string) =>
    names.map((name, i) => markup`<th scope="col" class="mono${i === 0 ? first : ""}">${name}</th>`);
  const lines = rows.map(
    (row) =>
      markup`<tr>${cells(row.inputs, "")}${cells(row.outputs, " apart")}${hasRemarks && markup`<td class="quiet">${row.remark}</td>`}</tr>\n`,
  );
  return markup`<table class="own tight">
${about !== "" && markup`<caption>${about}</caption>\n`}<thead><tr>${heads(inputs, "")}${heads(outputs, " apart")}${hasRemarks && markup`<th scope="col">remark</th>`}</tr></thead>
<tbody>
${lines}</tbody>
</table>
`;
}

function logicLine(line: string): Markup {
  return markup`<p class="mono">${line}</p>\n`;
}

function delayTable(lines: readonly DelayLine[], sources: SourceList): Markup {
  const rows = lines.map(
    (line) =>
      markup`<tr><td class="mono">${line.from}</td><td class="mono">${line.to}</td><td class="mono">${line.symbol}</td>${figure(line.min)}${figure(line.typical)}${figure(line.max)}${weakness(line)}${cite(line, sources)}</tr>\n`,
  );
  return markup`<table class="own">
<thead><tr><th scope="col">from</th><th scope="col">to</th><th scope="col">symbol</th><th scope="col" class="number">min<br>ns</th><th scope="col" class="number">typ<br>ns</th><th scope="col" class="number">max<br>ns</th><th scope="col">mark</th><th scope="col">source</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

function requirementTable(lines: readonly RequirementLine[], isMemory: boolean, sources: SourceList): Markup {
  const [what, of] = isMemory ? ["time", "symbol"] : ["requirement", "of"];
  const rows = lines.map(
    (line) =>
      markup`<tr><td>${line.kind}</td><td class="mono">${line.of}</td><td>${line.limit === "least" ? "min" : "max"}</td>${figure(line.time)}${weakness(line)}${cite(line, sources)}</tr>\n`,
  );
  return markup`<table class="own">
<thead><tr><th scope="col">${what}</th><th scope="col">${of}</th><th scope="col">limit</th><th scope="col" class="number">ns</th><th scope="col">mark</th><th scope="col">source</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

function levelTable({ lines }: PartLevels, sources: SourceList): Markup {
  const rows = lines.map(
    (line) =>
      markup`<tr><td class="mono">${line.pins}</td><td>${line.role}</td><td>${line.levels}</td><td>${levelMark(line)}</td>${cite(line, sources)}</tr>\n`,
  );
  return markup`<table class="own">
<thead><tr><th scope="col">pins</th><th scope="col">role</th><th scope="col">levels</th><th scope="col">mark</th><th scope="col">source</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

/** Grades side by side; each column is headed by the grade's own name. */
function busSection({ about, grades, times, source }: BusView, sources: SourceList): Markup {
  const heads = grades.map((grade) => markup`<th scope="col" class="number">${grade.replace(/ \(.*$/, "")}</th>`);
  const rows = times.map(
    ({ symbol, meaning, ns }) =>
      markup`<tr><td class="mono">${symbol}</td><td>${meaning}</td>${ns.map((time) => markup`<td class="number">${onPoint(time, ns)}</td>`)}</tr>\n`,
  );
  return section({
    id: "bus",
    heading: "On the bus",
    notes: markup`<p>Times in ns, from ${sources.refer(source)}.</p><p>${grades.join("; ")}.</p>`,
    content: markup`<ul>
${about.map((line) => markup`<li>${line}</li>\n`)}</ul>
${scrolling(
  "Times of the bus",
  markup`<table class="own tight">
<thead><tr><th scope="col">symbol</th><th scope="col">time, ns</th>${heads}</tr></thead>
<tbody>
${rows}</tbody>
</table>
`,
)}`,
  });
}

/** With a decimal where one of the row has one, so that the row stands on its points; with a true minus. */
function onPoint(time: number | undefined, row: readonly (number | undefined)[]): string {
  const digits = row.some((other) => other !== undefined && !Number.isInteger(other)) ? 1 : 0;
  return time === undefined ? "–" : time.toFixed(digits).replace("-", "−");
}

function substituteTable(lines: readonly SubstituteLine[]): Markup {
  const rows = lines.map(
    ({ number, speed, slowestNs, ratio, differences }) =>
      markup`<tr><td class="mono keep">${number}</td>${figure(slowestNs)}<td class="number">${ratio === undefined ? "–" : ratio.toFixed(2)}</td><td class="keep">${speed}</td><td>${differences.join("; ")}</td></tr>\n`,
  );
  return markup`<table class="own tight">
<thead><tr><th scope="col">part</th><th scope="col" class="number">max<br>ns</th><th scope="col" class="number">ratio</th><th scope="col">speed</th><th scope="col">otherwise</th></tr></thead>
<tbody>
${rows}</tbody>
</table>
`;
}

/** Those that a figure refers to, numbered, and below them those of the rest. */
function sourcesSection({ sources: all }: PartPage, sources: SourceList): Markup {
  for (const source of all) sources.refer(source);
  return section({ id: "sources", heading: "Sources", content: sources.list() });
}

function figure(nanoseconds: number | undefined): Markup {
  return markup`<td class="number">${nanoseconds === undefined ? "–" : tenthsOf(nanoseconds)}</td>`;
}

function weakness(line: DelayLine | RequirementLine): Markup {
  return markup`<td>${lettersOf(line)}</td>`;
}

function cite(line: DelayLine | RequirementLine | LevelLine, sources: SourceList): Markup {
  if (line.sources.length === 0) return markup`<td class="gap"><span class="word">not covered</span></td>`;
  return markup`<td>${line.sources.map((source) => markup`${sources.refer(source)} `)}</td>`;
}
