/** A command line in a document and what the document says that it prints. */
export interface ConsoleBlock {
  /** Line of the document at which the command stands, from 1. */
  readonly line: number;
  /** As a person types it, without the prompt. */
  readonly command: string;
  /** What is shown of the output: runs of whole lines, between which `…` leaves out others. */
  readonly shown: readonly (readonly string[])[];
}

/**
 * The blocks of a Markdown text that are fenced as `console`. A line that begins with `$ ` is a command, the lines after it
 * are its output; `…` alone stands for any lines.
 */
export function consoleBlocks(markdown: string): readonly ConsoleBlock[] {
  const blocks: { line: number; command: string; shown: string[][] }[] = [];
  let inside = false;
  for (const [index, line] of markdown.split("\n").entries()) {
    if (line.startsWith("```")) inside = line === "```console";
    else if (inside && line.startsWith("$ ")) blocks.push({ line: index + 1, command: line.slice(2), shown: [[]] });
    else if (inside) {
      const shown = blocks.at(-1)?.shown;
      if (line === "…") shown?.push([]);
      else shown?.at(-1)?.push(line.trimEnd());
    }
  }
  return blocks.map(({ shown, ...block }) => ({ ...block, shown: shown.filter((lines) => lines.length > 0) }));
}

/** The first run of lines that an output does not have where it should, or nothing where it has them all in their order. */
export function missingFrom(output: string, shown: ConsoleBlock["shown"]): readonly string[] | undefined {
  const lines = output.split("\n").map((line) => line.trimEnd());
  let from = 0;
  for (const run of shown) {
    const at = lines.findIndex(
      (_, index) => index >= from && run.every((line, offset) => lines[index + offset] === line),
    );
    if (at < 0) return run;
    from = at + run.length;
  }
  return undefined;
}
