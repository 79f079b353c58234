import type { BusView } from "./bus-view.js";
import type { FunctionTable, FunctionView } from "./function-table.js";
import type { DelayLine } from "./part-figures.js";
import type { PartLevels } from "./part-levels.js";
import type { PartPage } from "./part-page.js";
import {
  figuresWords,
  isMemoryPage,
  lettersOf,
  lettersWords,
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
import { pinMapText } from "./pin-map-text.js";
import { pageWidth, textTable, wrapText } from "./text-table.js";

/** A part as text of 80 columns, in the order of a data sheet. */
export function partPageText(page: PartPage): string {
  const refer = (sources: readonly string[]) => sources.map((source) => page.sources.indexOf(source) + 1).join(", ");
  const figures = figuresWords(page);
  return [
    heading(`${page.number}: ${page.title}`, "="),
    ...page.family.flatMap((line) => wrapText(line, pageWidth)),
    "",
    heading("Pins, seen from above", "-"),
    pinMapText(page.pinMap),
    ...(page.undescribed.length > 0 ? [...wrapText(undescribedWords(page), pageWidth), ""] : []),
    ...functionText(page.functions),
    ...(page.oscillation.length > 0 ? [heading("Output", "-"), ...page.oscillation, ""] : []),
    ...(page.delays.length > 0
      ? [
          heading("Delays", "-"),
          ...wrapText(`${figures} ${typicalWords}`, pageWidth),
          "",
          delayTable(page.delays, refer),
          "",
        ]
      : []),
    ...(page.requirements.length > 0 ? requirementText(page, figures, refer) : []),
    ...(page.levels ? levelText(page.levels, refer) : []),
    ...(page.bus ? busText(page.bus, refer) : []),
    ...legend(lettersWords(page)),
    heading("Packages", "-"),
    ...wrapText(packagesWords(page), pageWidth),
    "",
    ...substituteText(page),
    heading("Sources", "-"),
    ...page.sources.flatMap((source, i) => hanging(`[${i + 1}]`, source)),
  ].join("\n");
}

function heading(text: string, rule: string): string {
  const lines = wrapText(text, pageWidth);
  return [...lines, rule.repeat(Math.max(...lines.map((line) => line.length)))].join("\n");
}

function functionText({ tables, logic }: FunctionView): string[] {
  if (tables.length === 0 && logic.length === 0) return [];
  return [
    heading("Function", "-"),
    ...tables.flatMap((table) => [functionTableText(table), ""]),
    ...logic.flatMap((line) => hanging("", line)),
    ...(logic.length > 0 ? [negationWords, ""] : []),
    ...(tables.length > 0 ? [...wrapText(signsWords(tables), pageWidth), ""] : []),
  ];
}

/** A function table with a stroke between what goes in and what comes out. */
function functionTableText({ about, inputs, outputs, rows }: FunctionTable): string {
  const hasRemarks = rows.some(({ remark }) => remark !== "");
  const columns = [...inputs, "│", ...outputs, ...(hasRemarks ? [""] : [])].map((head) => ({ head }));
  const cells = rows.map((row) => [...row.inputs, "│", ...row.outputs, ...(hasRemarks ? [row.remark] : [])]);
  const table = textTable(columns, cells);
  const isWide = table.split("\n").some((line) => line.length > pageWidth);
  const narrow = isWide
    ? textTable(
        columns.slice(0, -1),
        cells.map((row) => row.slice(0, -1)),
      )
    : table;
  return [...(about === "" ? [] : wrapText(`${about}:`, pageWidth)), narrow].join("\n");
}

function delayTable(lines: readonly DelayLine[], refer: (sources: readonly string[]) => string): string {
  return textTable(
    [
      { head: "From", most: 15 },
      { head: "To", most: 14 },
      { head: "Symbol", most: 10 },
      { head: "min", align: "right" },
      { head: "typ", align: "right" },
      { head: "max", align: "right" },
      { head: "", most: 3 },
      { head: "Source", most: 11 },
    ],
    lines.map((line) => [
      line.from,
      line.to,
      line.symbol,
      tenthsOf(line.min),
      tenthsOf(line.typical),
      line.missing === undefined ? tenthsOf(line.max) : "none",
      lettersOf(line),
      line.sources.length > 0 ? `[${refer(line.sources)}]` : "not covered",
    ]),
  );
}

function requirementText(page: PartPage, figures: string, refer: (sources: readonly string[]) => string): string[] {
  const { requirements, delays } = page;
  const isMemory = isMemoryPage(page);
  const table = textTable(
    [
      { head: isMemory ? "Time" : "Requirement", most: 30 },
      { head: isMemory ? "Symbol" : "Of", most: 30 },
      { head: "" },
      { head: "ns", align: "right" },
      { head: "" },
      { head: "Source", most: 11 },
    ],
    requirements.map((line) => [
      line.kind,
      line.of,
      line.limit === "least" ? "min" : "max",
      line.missing === undefined ? tenthsOf(line.time) : "none",
      lettersOf(line),
      line.sources.length > 0 ? `[${refer(line.sources)}]` : "not covered",
    ]),
  );
  const words = delays.length === 0 ? [figures, ""] : [];
  return [heading(isMemory ? "Times" : "Requirements", "-"), ...words, table, ""];
}

function levelText(levels: PartLevels, refer: (sources: readonly string[]) => string): string[] {
  const columns = [
    { head: "Pins", most: 24 },
    { head: "" },
    { head: "Levels", most: 38 },
    { head: "" },
    { head: "Source", most: 8 },
  ];
  const rows = levels.lines.map((line) => [
    line.pins,
    line.role,
    line.levels,
    levelMark(line),
    `[${refer(line.sources)}]`,
  ]);
  return [heading("Levels", "-"), ...wrapText(levelsWords(levels), pageWidth), "", textTable(columns, rows), ""];
}

/** Grades side by side; each column is headed by the grade's own name. */
function busText({ about, grades, times, source }: BusView, refer: (sources: readonly string[]) => string): string[] {
  const columns = [
    { head: "Symbol", most: 12 },
    { head: "Time, ns", most: 40 },
    ...grades.map((_, i) => ({ head: `(${i + 1})`, align: "right" as const })),
  ];
  const cells = times.map(({ symbol, meaning, ns }) => [symbol, meaning, ...ns.map((time) => time?.toString() ?? "")]);
  return [
    heading("On the bus", "-"),
    ...about.flatMap((line) => wrapText(line, pageWidth)),
    "",
    ...wrapText(
      `Grades: ${grades.map((grade, i) => `(${i + 1}) ${grade}`).join("; ")}. Times: [${refer([source])}].`,
      pageWidth,
    ),
    "",
    textTable(columns, cells),
    "",
  ];
}

function legend(words: string): string[] {
  return words === "" ? [] : [...wrapText(words, pageWidth), ""];
}

function substituteText(page: PartPage): string[] {
  const { shown, rest } = listedSubstitutes(page);
  if (shown.length === 0) return [];
  const rows = shown.map(({ number: name, speed, slowestNs, ratio, differences }) => [
    name,
    tenthsOf(slowestNs),
    ratio === undefined ? "" : ratio.toFixed(2),
    speed,
    differences.join("; "),
  ]);
  const columns = [
    { head: "Part", most: 14 },
    { head: "max", align: "right" as const },
    { head: "ratio", align: "right" as const },
    { head: "" },
    { head: "Otherwise", most: 40 },
  ];
  return [
    heading("In its place, with the same pins", "-"),
    ...wrapText(substituteWords, pageWidth),
    "",
    textTable(columns, rows),
    ...(rest > 0 ? [`And ${rest} more, faster or slower still.`] : []),
    "",
  ];
}

function hanging(label: string, text: string): string[] {
  const indent = " ".repeat(label === "" ? 2 : label.length + 1);
  return wrapText(text, pageWidth - indent.length).map((line, i) =>
    i > 0 || label === "" ? `${i > 0 || label !== "" ? indent : ""}${line}` : `${label} ${line}`,
  );
}
