/** One name for nets of a bus: `MA[0..14]`; names that do not count up are listed, the middle left out. */
export function busName(names: readonly string[]): string {
  const distinct = [...new Set(names)];
  const [first, last] = [distinct[0] ?? "", distinct.at(-1) ?? ""];
  if (distinct.length < 2) return first;
  const parts = distinct.map((name) => /^(.*?)(\d+)$/.exec(name));
  const numbers = parts.map((part) => Number(part?.[2]));
  const stems = new Set(parts.map((part) => part?.[1]));
  const countsUp = numbers.every((number, i) => number === (numbers[0] ?? 0) + i);
  const [stem] = stems;
  if (stems.size === 1 && stem !== undefined && countsUp) return `${stem}[${numbers[0]}..${numbers.at(-1)}]`;
  return `${first} .. ${last}`;
}
