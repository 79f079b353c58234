/** What one net does. */
export interface TextWave {
  readonly name: string;
  /** Times of the changes in femtoseconds. */
  readonly timesFs: ArrayLike<number>;
  /** `0`, `1`, `z` or `x`. */
  letterAt(time: number): string;
}

const LEVELS: Readonly<Record<string, string>> = { 0: "_", 1: "‾", x: "?", z: "-" };

/**
 * Nets over time in characters, one line a net: `_` low, `‾` high, `-` undriven, `?` unknown, `/` and `\` edges, `|` where a
 * column holds several changes. `marks` are moments that get a letter under the last line.
 */
export function textWaves(
  waves: readonly TextWave[],
  { from, to, columns }: { readonly from: number; readonly to: number; readonly columns: number },
  marks: readonly { readonly at: number; readonly letter: string }[],
): string {
  const width = Math.max(...waves.map(({ name }) => name.length), 0);
  const timeOf = (column: number) => from + ((to - from) * column) / columns;
  const columnOf = (time: number) =>
    Math.min(columns - 1, Math.max(0, Math.floor(((time - from) / (to - from)) * columns)));
  const lines = waves.map((wave) => {
    const cells = Array.from({ length: columns }, (_, column) => cell(wave, timeOf(column), timeOf(column + 1)));
    return `${wave.name.padEnd(width)}  ${cells.join("")}`;
  });
  const under = Array.from({ length: columns }, () => " ");
  for (const { at, letter } of marks) under[columnOf(at)] = letter;
  return [...lines, `${" ".repeat(width)}  ${under.join("")}`.trimEnd()].join("\n");
}

function cell(wave: TextWave, from: number, to: number): string {
  let changes = 0;
  for (let index = 0; index < wave.timesFs.length; index++) {
    const time = wave.timesFs[index] as number;
    if (time > from && time <= to) changes++;
  }
  const [before, after] = [wave.letterAt(from), wave.letterAt(to)];
  if (changes > 1 && before === after) return "|";
  if (before !== after && after === "1") return "/";
  if (before !== after && after === "0") return "\\";
  return LEVELS[after] ?? "?";
}
