import {
  type Asked,
  type Conditions,
  type MemorySymbol,
  type Part,
  DEFAULT_UNSTATED_MINIMUM,
  askedOf,
  behaviourOf,
  families,
  findPart,
  functionsOf,
  gapsIn,
  inShort,
  isMissing,
  isPartProblem,
  memoryRows,
  timesOf,
} from "../parts/index.js";
import { markdownCell } from "./markdown-cell.js";

/** How far the figures on record go, as a page in Markdown: `docs/coverage.md`. */
export function coveragePage(): string {
  const parts = families.flatMap((family) => functionsOf(family).map((fn) => coverageOf(family, fn)));
  return [
    "# What the figures on record cover",
    "",
    "Made by `npm run references` from `data/`; not to be edited by hand. A part is asked for every delay and every",
    "requirement that its function declares, at 5 V ± 10 % (LVC: 3.3 V ± 0.3 V) and 0 to 70 °C. What is missing here is",
    "_not covered_ in a proof that needs it; [an own parts file](own-parts.md) can supply it.",
    "",
    "## Logic, function by family",
    "",
    "**all**: every figure is on record. **m**: every figure, some of them from memory. A number: so many of the figures",
    "asked for are missing, listed below; **m** after it: of the others some are from memory. Blank: nothing is on record.",
    "",
    ...matrix(parts),
    "",
    "## What is missing, and what is from memory",
    "",
    "A pin's name stands for its like in every section, `Q` for every output Q.",
    ...families.flatMap((family) => familyGaps(family, parts)),
    "",
    "## Memories by organisation and grade",
    "",
    "Sheets of the same organisation, supply and grade stand in one line; a time counts as on record where one of them",
    "prints it. Where `tOH`, `tLZCE`, `tLZOE` or `tOW` is missing, 0 counts; where `tRC` is,",
    "`tAA` does.",
    "",
    ...memoryTable(),
    "",
  ].join("\n");
}

interface Coverage {
  readonly family: string;
  readonly part: Part;
  readonly asked: readonly Asked[];
  readonly missing: number;
  readonly isRecalled: boolean;
}

function conditionsOf(family: string): Conditions {
  return {
    supplyVolts: family === "LVC" ? { min: 3, max: 3.6 } : { min: 4.5, max: 5.5 },
    ambientCelsius: { min: 0, max: 70 },
    unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
  };
}

function coverageOf(family: string, fn: string): Coverage {
  const number = `74${family}${fn}`;
  const part = findPart(number, conditionsOf(family));
  if (isPartProblem(part)) throw new Error(`${number} is in no catalogue: ${part.problem}`);
  const asked = askedOf(part.behaviour, part.figures);
  return {
    family,
    part,
    asked,
    missing: asked.filter(({ figure }) => isMissing(figure)).length,
    isRecalled: asked.some(isRecalled),
  };
}

function isRecalled({ figure }: Asked): boolean {
  return !isMissing(figure) && figure.source.fromMemory;
}

function matrix(parts: readonly Coverage[]): readonly string[] {
  const functions = [...new Set(parts.map(({ part }) => part.behaviour.function))].sort((a, b) =>
    a.localeCompare(b, "en", { numeric: true }),
  );
  const cell = (family: string, fn: string) => {
    const found = parts.find((one) => one.family === family && one.part.behaviour.function === fn);
    if (!found) return "";
    if (found.missing === 0) return found.isRecalled ? "m" : "all";
    return `${found.missing} of ${found.asked.length}${found.isRecalled ? " m" : ""}`;
  };
  return table(
    ["function", "what it is", ...families],
    functions.map((fn) => [fn, behaviourOf(fn)?.title ?? "", ...families.map((family) => cell(family, fn))]),
  );
}

function familyGaps(family: string, parts: readonly Coverage[]): readonly string[] {
  const lines = parts
    .filter((one) => one.family === family)
    .flatMap(({ part, asked }) => {
      const { behaviour } = part;
      const missing = gapsIn(behaviour, asked);
      const recalled = inShort(behaviour, asked, isRecalled);
      return [
        ...(missing.length > 0 ? [`- **${part.number}** lacks ${missing.map(code).join(", ")}`] : []),
        ...(recalled.length > 0 ? [`- **${part.number}** from memory: ${recalled.map(code).join(", ")}`] : []),
      ];
    });
  return ["", `### 74${family}`, "", ...(lines.length === 0 ? ["Nothing is missing."] : lines)];
}

function memoryTable(): readonly string[] {
  const groups = new Map<string, (typeof memoryRows)[number][]>();
  for (const row of memoryRows) {
    const key = `${row.function}\n${supplyOf(row)}\n${row.grade}`;
    groups.set(key, [...(groups.get(key) ?? []), row]);
  }
  const byNumber = (a: string, b: string) => a.localeCompare(b, "en", { numeric: true });
  const sorted = [...groups].sort(([a], [b]) => byNumber(a, b)).map(([, group]) => group);
  const rows = sorted.flatMap((group) => {
    const [first] = group;
    const behaviour = first && behaviourOf(first.function);
    if (!behaviour) return [];
    // Sheets that were read count before those recalled, as they do for a part.
    const read = group.filter(({ fromMemory }) => !fromMemory);
    const counting = read.length > 0 ? read : group;
    const gives = (symbol: MemorySymbol) => counting.some(({ times }) => times[symbol] !== undefined);
    const missing = timesOf(behaviour).filter((symbol) => !gives(symbol));
    const recalled = read.length === 0 ? ", from memory" : "";
    return [
      [
        first.function,
        supplyOf(first),
        `${first.grade} ns`,
        group.map(({ part }) => part).join(", "),
        missing.length === 0 ? `all${recalled}` : `lacks ${missing.map(code).join(", ")}${recalled}`,
      ],
    ];
  });
  return table(["organisation", "supply", "grade", "sheets", "times"], rows);
}

/** The nominal supply of a memory's sheet. */
function supplyOf({ supply: [lowest, highest] }: { readonly supply: readonly [number, number] }): string {
  return highest < 4 ? "3.3 V" : lowest < 4 ? `${lowest} to ${highest} V` : "5 V";
}

function code(text: string): string {
  return `\`${text}\``;
}

/** A table in Markdown, its columns padded to stand under each other. */
function table(head: readonly string[], rows: readonly (readonly string[])[]): readonly string[] {
  const escaped = [head, ...rows].map((row) => row.map(markdownCell));
  const widths = head.map((_, index) => Math.max(3, ...escaped.map((row) => row[index]?.length ?? 0)));
  const line = (cells: readonly string[]) => `| ${cells.map((cell, i) => cell.padEnd(widths[i] ?? 0)).join(" | ")} |`;
  const [first = [], ...others] = escaped;
  return [line(first), `| ${widths.map((width) => "-".repeat(width)).join(" | ")} |`, ...others.map(line)];
}
