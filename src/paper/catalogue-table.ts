import type { CatalogueEntry, NearPart } from "../parts/index.js";
import { inNs } from "../quantity/index.js";
import { pageWidth, textTable, wrapText } from "./text-table.js";

/** One part of the catalogue in a line. */
export interface CatalogueLine {
  readonly number: string;
  readonly title: string;
  readonly family: string;
  readonly pins: number;
  readonly package: string;
  readonly inDip: "yes" | "no" | "not known";
  /** Its largest delay or access time and the way that takes it; absent where not covered. */
  readonly slowestNs?: number;
  readonly slowestArc?: string;
}

export function catalogueLines(entries: readonly CatalogueEntry[]): readonly CatalogueLine[] {
  return entries.map(({ part, pins, slowest, dip }) => ({
    number: part.number,
    title: part.behaviour.title,
    family: part.family,
    pins,
    package: part.package.name,
    inDip: dip.made,
    ...(slowest && { slowestNs: inNs(slowest.max), slowestArc: `${slowest.from} to ${slowest.to}` }),
  }));
}

/** A list of parts as a table of 80 columns. */
export function catalogueText(lines: readonly CatalogueLine[], conditions: string): string {
  const rows = lines.map((line) => [
    line.number,
    line.title,
    String(line.pins),
    packageCell(line),
    line.slowestNs === undefined ? "none" : line.slowestNs.toFixed(1),
  ]);
  const columns = [
    { head: "Part", most: 18 },
    { head: "What it is", most: 32 },
    { head: "Pins", align: "right" as const },
    { head: "Package", most: 12 },
    { head: "max ns", align: "right" as const },
  ];
  const none = lines.some(({ slowestNs }) => slowestNs === undefined)
    ? " None: no such figure holds there; processors and oscillator cans have times of other kinds, on their pages."
    : "";
  const words = `${lines.length} ${lines.length === 1 ? "part" : "parts"}. The last column is the largest delay or access time at ${conditions}.${none}`;
  return [textTable(columns, rows), "", ...wrapText(words, pageWidth), ""].join("\n");
}

function packageCell({ package: name, inDip }: CatalogueLine): string {
  if (inDip === "not known") return "DIP not on record";
  return name;
}

/** What comes near a number that is not in the catalogue. */
export function nearPartsText(problem: string, near: readonly NearPart[]): string {
  const head = `${problem[0]?.toUpperCase() ?? ""}${problem.slice(1)}.`;
  if (near.length === 0) return `${head}\nNothing in the catalogue comes near it.\n`;
  const columns = [
    { head: "Near it", most: 20 },
    { head: "How", most: 56 },
  ];
  const table = textTable(
    columns,
    near.map(({ number, how }) => [number, how]),
  );
  return [...wrapText(head, pageWidth), "", table, ""].join("\n");
}
