import { TYPICAL_OVER_MAXIMUM } from "../parts/index.js";
import type { BusView } from "./bus-view.js";
import type { FunctionTable, FunctionView } from "./function-table.js";
import type { DelayLine, FigureMark, RequirementLine } from "./part-figures.js";
import type { PartPage, SubstituteLine } from "./part-page.js";
import { pinMapText } from "./pin-map-text.js";
import { pageWidth, textTable, wrapText } from "./text-table.js";

/** See `TYPICAL_OVER_MAXIMUM`. */
const typical = `Where no sheet prints a typ, ${TYPICAL_OVER_MAXIMUM} of max.`;

/** A part as text of 80 columns, in the order of a data sheet. */
export function partPageText(page: PartPage): string {
  const refer = (sources: readonly string[]) => sources.map((source) => page.sources.indexOf(source) + 1).join(", ");
  const figures = `Figures for ${page.conditions}. Times in ns.`;
  return [
    heading(`${page.number}: ${page.title}`, "="),
    ...page.family.flatMap((line) => wrapText(line, pageWidth)),
    "",
    heading("Pins, seen from above", "-"),
    pinMapText(page.pinMap),
    ...functionText(page.functions),
    ...(page.oscillation.length > 0 ? [heading("Output", "-"), ...page.oscillation, ""] : []),
    ...(page.delays.length > 0
      ? [
          heading("Delays", "-"),
          ...wrapText(`${figures} ${typical}`, pageWidth),
          "",
          delayTable(page.delays, refer),
          "",
        ]
      : []),
    ...(page.requirements.length > 0 ? requirementText(page, figures, refer) : []),
    ...(page.bus ? busText(page.bus, refer) : []),
    ...legend([...page.delays, ...page.requirements]),
    heading("Packages", "-"),
    ...wrapText(`On record: ${page.housing.packages.join(", ")}. ${page.housing.advice}`, pageWidth),
    "",
    ...substituteText(page.substitutes),
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
  const marks = tables.flatMap(({ rows }) => rows.flatMap((row) => [...row.inputs, ...row.outputs]));
  const key = [
    "L low, H high, X either",
    ...(marks.some((mark) => /^[↑↓]$/.test(mark)) ? ["↑ ↓ the clock's edge, no ↑ steady or the other edge"] : []),
    ...(marks.includes("Z") ? ["Z undriven"] : []),
    ...(marks.some((mark) => /0/.test(mark)) ? ["Q0 what Q was before"] : []),
    ...(marks.some((mark) => /^!?[a-z]\d?$/.test(mark)) ? ["a the level at A"] : []),
    ...(marks.some((mark) => mark.startsWith("!")) ? ["! the opposite"] : []),
  ];
  return [
    heading("Function", "-"),
    ...tables.flatMap((table) => [functionTableText(table), ""]),
    ...logic.flatMap((line) => hanging("", line)),
    ...(logic.length > 0 ? ["! not, & and, ^ exclusive or, | or.", ""] : []),
    ...(tables.length > 0 ? [...wrapText(`${key.join("; ")}.`, pageWidth), ""] : []),
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
      number(line.min),
      number(line.typical),
      line.missing === undefined ? number(line.max) : "none",
      marks(line),
      line.sources.length > 0 ? `[${refer(line.sources)}]` : "not covered",
    ]),
  );
}

function requirementText(
  { requirements, delays }: PartPage,
  figures: string,
  refer: (sources: readonly string[]) => string,
): string[] {
  const isMemory = requirements.some(({ limit }) => limit === "most");
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
      line.missing === undefined ? number(line.time) : "none",
      marks(line),
      line.sources.length > 0 ? `[${refer(line.sources)}]` : "not covered",
    ]),
  );
  const words = delays.length === 0 ? [figures, ""] : [];
  return [heading(isMemory ? "Times" : "Requirements", "-"), ...words, table, ""];
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

const letters: Readonly<Record<FigureMark, string>> = { assumed: "a", "from memory": "m", derived: "d" };

function marks({ marks }: DelayLine | RequirementLine): string {
  return marks.map((mark) => letters[mark]).join("");
}

const meanings: Readonly<Record<FigureMark, string>> = {
  assumed: "a: the minimum is assumed, no sheet states one",
  "from memory": "m: from memory, not read in a sheet",
  derived: "d: derived from the sheet's figure by an allowance, named with the source",
};

function legend(lines: readonly (DelayLine | RequirementLine)[]): string[] {
  const used = (Object.keys(letters) as FigureMark[]).filter((mark) => lines.some((line) => line.marks.includes(mark)));
  if (used.length === 0) return [];
  return [...wrapText(`${used.map((mark) => meanings[mark]).join("; ")}.`, pageWidth), ""];
}

/** How many substitutes a page lists on either side of the part's own speed. */
const MOST_SUBSTITUTES = 14;

function substituteText(substitutes: readonly SubstituteLine[]): string[] {
  if (substitutes.length === 0) return [];
  const slower = substitutes.filter(({ speed }) => speed !== "faster").slice(0, 6);
  const faster = substitutes.filter(({ speed }) => speed === "faster").slice(-(MOST_SUBSTITUTES - slower.length));
  const shown = [...faster, ...slower];
  const rows = shown.map(({ number: name, speed, slowestNs, ratio, differences }) => [
    name,
    number(slowestNs),
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
  const rest = substitutes.length - shown.length;
  return [
    heading("In its place, with the same pins", "-"),
    ...wrapText("Slowest way through, of those for which both have figures, and its ratio to this part's.", pageWidth),
    "",
    textTable(columns, rows),
    ...(rest > 0 ? [`And ${rest} more, faster or slower still.`] : []),
    "",
  ];
}

function number(nanoseconds: number | undefined): string {
  return nanoseconds === undefined ? "" : nanoseconds.toFixed(1);
}

function hanging(label: string, text: string): string[] {
  const indent = " ".repeat(label === "" ? 2 : label.length + 1);
  return wrapText(text, pageWidth - indent.length).map((line, i) =>
    i > 0 || label === "" ? `${i > 0 || label !== "" ? indent : ""}${line}` : `${label} ${line}`,
  );
}
