/** Processor time that a call takes, the least of three where the first takes long, and what it returns. */
export function timed<T>(call: () => T): readonly [seconds: number, result: T] {
  const once = (): readonly [number, T] => {
    const before = process.cpuUsage();
    const result = call();
    const { user, system } = process.cpuUsage(before);
    return [(user + system) / 1e6, result];
  };
  const first = once();
  // Another test on the other half of the same core slows this one down, in processor time too.
  const others = first[0] < 0.8 ? [] : [once(), once()];
  return others.reduce((best, other) => (other[0] < best[0] ? other : best), first);
}

/** A text for each way to make any reader of YAML wait for ever or fill the memory, and how the line that it gets ends. */
export type Hostile = readonly [what: string, text: () => string, line: string];

const aliasBomb = () => {
  const level = (name: string, inner: string) => `${name}: &${name} [${`*${inner}, `.repeat(10)}]\n`;
  const levels = "bcdefghij".split("").map((name, index) => level(name, "abcdefghi".charAt(index)));
  return `a: &a [ha, ha]\n${levels.join("")}`;
};

/** Those that no file can be read of, whatever it is for; `file` is what was expected, `depth` how deep it goes. */
export const hostileToAll = (file: string, depth: string): readonly Hostile[] => [
  [
    "a file of more than 4 MiB",
    () => `a: 1\n${"#".repeat(4 * 1024 * 1024)}`,
    `:1:1: the file is 4.0 MiB long: expected ${file} of at most 4 MiB`,
  ],
  [
    "a binary file",
    () => "\u007fELF\0\0\0a: 1\n",
    ":1:1: the file is not text: it has NUL bytes: expected text in UTF-8",
  ],
  ["an empty file", () => "\n \n", `:1:1: the file is empty: expected ${file}`],
  ["an alias bomb", aliasBomb, "with its aliases written out the file has more than 400,000 values"],
  [
    "brackets a hundred thousand deep",
    () => "[".repeat(100_000),
    `lists and maps are more than 64 deep inside each other: expected ${depth}`,
  ],
  ["a million keys", () => "a: 1\n".repeat(800_000), "there are more than 300,000 words and marks"],
];
