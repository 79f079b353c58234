/** What the comments of a circuit file say to its readers. They mean nothing to any engine. */
export interface Remarks {
  /** The paragraphs above the first key, the lines of each put together; drawings in characters are left out. */
  readonly about: readonly string[];
  /** For each chip and passive, the heading under which the file has it: `# ---- Clock ----` and all that follows. */
  readonly headings: ReadonlyMap<string, string>;
}

const comment = /^\s*#\s?(.*)$/;
/** A title between rules: `---- Clock ----`, `=== Clock`. */
const heading = /^\s*#\s*([-=*~_])\1{1,}\s*([^\s\-=*~_].*?)\s*(?:\1*)\s*$/;

/** The remarks of a circuit file's text. Never fails: what it does not understand, it leaves out. */
export function remarksOf(text: string): Remarks {
  const lines = text.split(/\r?\n/);
  return { about: paragraphs(lines), headings: headingsIn(lines) };
}

function paragraphs(lines: readonly string[]): string[] {
  const end = lines.findIndex((line) => line.trim() !== "" && !comment.test(line));
  const found: string[][] = [[]];
  for (const line of end < 0 ? lines : lines.slice(0, end)) {
    const words = comment.exec(line)?.[1]?.trimEnd() ?? "";
    if (words.trim() === "") found.push([]);
    else found.at(-1)?.push(words);
  }
  return found
    .filter((block) => block.length > 0 && !block.some(isDrawn))
    .map((block) => block.map((line) => line.trim()).join(" "));
}

/** Columns and rules made of characters, which only stand in their places. */
function isDrawn(line: string): boolean {
  return /\S {3,}\S/.test(line) || /^\s{2,}/.test(line) || /([-=*~_|+])\1{3,}/.test(line);
}

function headingsIn(lines: readonly string[]): Map<string, string> {
  const headings = new Map<string, string>();
  let inside = false;
  let indentation: string | undefined;
  let current: string | undefined;
  for (const line of lines) {
    if (/^\S/.test(line) && !line.startsWith("#")) {
      inside = /^(?:chips|passives)\s*:/.test(line);
      [indentation, current] = [undefined, undefined];
    }
    if (!inside) continue;
    const title = heading.exec(line)?.[2];
    if (title !== undefined) current = title;
    const [, space, ref] = /^(\s+)["']?([^\s"'#:{}[\],]+)["']?\s*:/.exec(line) ?? [];
    if (space === undefined || ref === undefined) continue;
    indentation ??= space;
    if (space === indentation && current !== undefined) headings.set(ref, current);
  }
  return headings;
}
