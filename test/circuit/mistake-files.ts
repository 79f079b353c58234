import { readFileSync, readdirSync } from "node:fs";

/** A file with a mistake, which begins with what is to be said of it: one comment `# => line:column: ...` for each line. */
export interface MistakeFile {
  readonly file: string;
  readonly text: string;
  /** The lines, each behind the file's name. */
  readonly expected: readonly string[];
  /** Whether one of them is more than a warning. */
  readonly isError: boolean;
}

/** The files of a folder, in the order of their names. */
export function mistakeFiles(folder: URL): readonly MistakeFile[] {
  return readdirSync(folder)
    .sort()
    .map((file) => {
      const text = readFileSync(new URL(file, folder), "utf8");
      const said = text.split("\n").flatMap((line) => (line.startsWith("# => ") ? [line.slice(5)] : []));
      const isError = said.some((line) => !/^\d+:\d+: warning: /.test(line));
      return { file, text, expected: said.map((line) => `${file}:${line}`), isError };
    });
}
