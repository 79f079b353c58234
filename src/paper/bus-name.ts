/** One name for nets of a bus: `MA[0..14]`; up or down; names that do not count are listed, the middle left out. */
export function busName(names: readonly string[]): string {
  const distinct = [...new Set(names)];
  const [first, last] = [distinct[0] ?? "", distinct.at(-1) ?? ""];
  if (distinct.length < 2) return first;
  const parts = distinct.map((name) => /^(.*?)(\d+)$/.exec(name));
  const numbers = parts.map((part) => Number(part?.[2]));
  const stems = new Set(parts.map((part) => part?.[1]));
  const step = (numbers[1] ?? 0) < (numbers[0] ?? 0) ? -1 : 1;
  const counts = numbers.every((number, i) => number === (numbers[0] ?? 0) + step * i);
  const [stem] = stems;
  if (stems.size === 1 && stem !== undefined && counts) return `${stem}[${numbers[0]}..${numbers.at(-1)}]`;
  return `${first} .. ${last}`;
}
