/** Columns of a printed page, in characters. */
export const pageWidth = 80;

/** A column of a table in characters. */
export interface Column {
  readonly head: string;
  /** `left` by default. */
  readonly align?: "left" | "right";
  /** Longer cells go on in the next line. No limit by default. */
  readonly most?: number;
}

/** A table in characters: a rule under the head, none between columns, cells wrapped at their column's width. */
export function textTable(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const wrapped = [columns.map(({ head }) => head), ...rows].map((row) =>
    columns.map(({ most = Infinity }, i) => wrapText(row[i] ?? "", most)),
  );
  const widths = columns.map((_, i) => Math.max(0, ...wrapped.flatMap((row) => (row[i] ?? []).map((s) => s.length))));
  const lines = wrapped.map((row) => {
    const height = Math.max(1, ...row.map((cell) => cell.length));
    return Array.from({ length: height }, (_, line) =>
      columns
        .map(({ align }, i) => {
          const text = row[i]?.[line] ?? "";
          return align === "right" ? text.padStart(widths[i] ?? 0) : text.padEnd(widths[i] ?? 0);
        })
        .join("  ")
        .trimEnd(),
    );
  });
  const [head = [], ...body] = lines;
  const rule = "─".repeat(widths.reduce((sum, width) => sum + width, 2 * (columns.length - 1)));
  return [...head, rule, ...body.flat()].join("\n");
}

/** Lines of at most `most` characters, broken between words where that is possible. */
export function wrapText(text: string, most: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/)) {
    let rest = word;
    if (line !== "" && line.length + 1 + rest.length <= most) {
      line += ` ${rest}`;
      continue;
    }
    if (line !== "") lines.push(line);
    while (rest.length > most) {
      lines.push(rest.slice(0, most));
      rest = rest.slice(most);
    }
    line = rest;
  }
  return [...lines, line];
}
