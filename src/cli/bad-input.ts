/** One mistake in what the person gave, ready to be shown: `text` is one line, `details` is what `--json` adds to it. */
export type Problem = {
  readonly text: string;
  readonly details?: { readonly [field: string]: unknown };
};

/**
 * Thrown when a file or an argument cannot be used. It carries every mistake that was found, not the first only; the command
 * line shows one line for each on standard error and ends with exit code 2.
 */
export class BadInput extends Error {
  readonly problems: readonly Problem[];

  constructor(problems: string | readonly Problem[]) {
    const list = typeof problems === "string" ? [{ text: problems }] : problems;
    super(list.map((problem) => problem.text).join("\n"));
    this.name = "BadInput";
    this.problems = list;
  }
}
