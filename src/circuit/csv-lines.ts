import * as say from "./messages.js";
import type { Span } from "./problem.js";
import type { Report } from "./report.js";

/** A cell and where it stands; its text without the quotes around it. */
export interface Cell {
  readonly text: string;
  readonly span: Span;
}

/**
 * Splits comma-separated values (RFC 4180) into lines of cells; empty lines are left out. Where the first line has no comma,
 * semicolons or tabs separate, as spreadsheets write them.
 */
export function csvLines(text: string, report: Report): readonly (readonly Cell[])[] {
  const firstLine = /^[^\r\n]*/.exec(text)?.[0] ?? "";
  const separator = [",", ";", "\t"].find((sign) => firstLine.includes(sign)) ?? ",";
  const lines: Cell[][] = [];
  let line: Cell[] = [];
  let at = text.startsWith("\uFEFF") ? 1 : 0;
  while (at < text.length) {
    const cell = text[at] === '"' ? quoted(text, at, report) : plain(text, at, separator);
    line.push(cell);
    at = cell.span.end;
    // Behind a closing quote nothing but a separator is due; what else stands there is passed over.
    while (at < text.length && text[at] !== separator && text[at] !== "\n" && text[at] !== "\r") at++;
    if (text[at] === separator && at + 1 < text.length) {
      at++;
      continue;
    }
    if (text[at] === separator) line.push({ text: "", span: { start: at + 1, end: at + 1 } });
    if (line.some((other) => other.text !== "")) lines.push(line);
    line = [];
    at += text.startsWith("\r\n", at) ? 2 : 1;
  }
  if (line.some((other) => other.text !== "")) lines.push(line);
  return lines;
}

function plain(text: string, start: number, separator: string): Cell {
  let end = start;
  while (end < text.length && text[end] !== separator && text[end] !== "\n" && text[end] !== "\r") end++;
  return { text: text.slice(start, end).trim(), span: { start, end } };
}

function quoted(text: string, start: number, report: Report): Cell {
  let end = start + 1;
  while (end < text.length && (text[end] !== '"' || text[end + 1] === '"')) end += text[end] === '"' ? 2 : 1;
  const span = { start, end: Math.min(end + 1, text.length) };
  if (end >= text.length) report.add(span, say.csvQuote());
  return {
    text: text
      .slice(start + 1, end)
      .replaceAll('""', '"')
      .trim(),
    span,
  };
}

/** One line of comma-separated values; cells are put in quotes where they must be. */
export function csvLine(cells: readonly string[]): string {
  return cells.map((cell) => (/[",;\t\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell)).join(",") + "\n";
}
