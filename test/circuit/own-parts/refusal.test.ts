import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { formatProblem, readOwnParts } from "../../../src/circuit/index.js";
import { type Hostile, hostileToAll, timed } from "../hostile-texts.js";

const drawer = readFileSync(new URL("../../../examples/drawer.parts.yaml", import.meta.url), "utf8");

const head = "dotwright parts: 1\n";
const count = <T>(n: number, make: (index: number) => T) => Array.from({ length: n }, (_, index) => make(index));
const row = (part: string, delays: string) =>
  `  - { part: ${part}, source: measured, supply: 5 V, delays: [${delays}] }\n`;
const delay = "{ from: A, to: Y, 25 C: { max: 5 ns } }";
const fn = (number: string, expression: string) =>
  `  "${number}": { title: x, inputs: "[A..P]", outputs: Y, drives: { Y: "${expression}" }, package: { name: DIP-18, source: measured, pins: {} } }\n`;

/** One text for each way to make a reader wait for ever or fill the memory, and the line that it gets. */
const hostile: readonly Hostile[] = [
  ...hostileToAll("an own parts file", "figures, their delays and the columns of these, which is five deep"),
  [
    "an alias that stands for what it stands in",
    () => `${head}figures: &all\n  - { part: *all }\n`,
    "d.yaml:3:13: alias *all stands inside what it stands for, which has no end",
  ],
  [
    "thousands of rows",
    () => `${head}figures:\n${count(3000, () => row("74HC00", delay)).join("")}`,
    "there are more than 300 figures: expected the parts of one drawer",
  ],
  [
    "thousands of delays",
    () => `${head}figures:\n${count(200, () => row("74HC00", count(40, () => delay).join(", "))).join("")}`,
    "there are more than 2,000 delays and requirements: expected the parts of one drawer",
  ],
  [
    "thousands of functions",
    () => `${head}functions:\n${count(2000, (n) => fn(`9${n}`, "A")).join("")}`,
    "there are more than 50 functions: expected the parts of one drawer",
  ],
  [
    "a function of thousands of pins",
    () => `${head}functions:\n${fn("900", "A").replace("[A..P]", "A[0..999]")}`,
    "the function has 1001 pins: expected at most 64",
  ],
  [
    "an expression of a hundred thousand brackets",
    () => `${head}functions:\n${fn("900", `${"(".repeat(100_000)}A${")".repeat(100_000)}`)}`,
    "the expression has 200,001 characters: expected at most 1000",
  ],
  [
    "expressions without end",
    () => `${head}functions:\n${count(50, (n) => fn(`9${n}`, count(240, () => "A").join(" ^ "))).join("")}`,
    "the expressions of the file have more than 8,000 characters",
  ],
  [
    "thousands of unknown pins",
    () => `${head}figures:\n${row("74HC00", count(1900, (n) => delay.replace("A", `X${n}`)).join(", "))}`,
    "there are more mistakes than the 1,000 that are listed",
  ],
];

describe("an own parts file made to exhaust the reader is refused in under a second", () => {
  test.each(hostile)("%s", (_, text, line) => {
    const written = text();
    const [seconds, { problems, hasErrors }] = timed(() => readOwnParts(written, "d.yaml"));
    expect(hasErrors).toBe(true);
    expect(problems.map(formatProblem).filter((found) => found.endsWith(line))).not.toEqual([]);
    expect(seconds).toBeLessThan(1);
  });
});

test("as much logic as a file may hold is read in under two seconds", () => {
  const letters = "ABCDEFGHIJKLMNOP".split("");
  const tangle = letters.map((a, i) => `(${a} ^ ${letters[(i + 5) % 16]} & !${letters[(i + 3) % 16]})`).join(" ^ ");
  const pins =
    "{ 1: A, 2: B, 3: C, 4: D, 5: E, 6: F, 7: G, 8: H, 9: GND, 10: I, 11: J, 12: K, 13: L, 14: M, 15: N, 16: O, 17: P, 18: Y, 19: NC, 20: VCC }";
  const functions = count(10, (n) =>
    fn(String(900 + n), `${tangle} | (${tangle})`)
      .replace("DIP-18", "DIP-20")
      .replace("{}", pins)
      .replace("outputs: Y", "outputs: Y, unconnected: NC"),
  );
  const rows = count(10, (n) => row(`74HC${900 + n}`, delay));
  const [seconds, { hasErrors, problems }] = timed(() =>
    readOwnParts(`${head}functions:\n${functions.join("")}figures:\n${rows.join("")}`, "d.yaml"),
  );
  expect(problems.filter(({ severity }) => severity === "error").map(formatProblem)).toEqual([]);
  expect(hasErrors).toBe(false);
  expect(seconds).toBeLessThan(2);
});

/** The lines for a text that are no single line with its place; the reader may not throw either. */
function faultsIn(text: string): readonly string[] {
  const { problems } = readOwnParts(text, "d.yaml");
  return problems.map(formatProblem).filter((line) => !/^d\.yaml:\d+:\d+: [^\n\r]+$/.test(line));
}

test("lines left out, doubled or exchanged never make the reader throw", () => {
  const lines = drawer.split("\n");
  fc.assert(
    fc.property(fc.nat(lines.length - 2), fc.constantFrom(0, 2), (at, times) => {
      const changed = [...lines.slice(0, at), ...count(times, () => lines[at] ?? ""), ...lines.slice(at + 1)];
      expect(faultsIn(changed.join("\n"))).toEqual([]);
    }),
    { numRuns: 80 },
  );
});

test("values of any kind in any place never make the reader throw", () => {
  const lines = drawer.split("\n");
  const value = fc.constantFrom(
    "[]",
    "{}",
    "null",
    "3",
    "''",
    "[[]]",
    "[null]",
    "{a: }",
    "__proto__",
    "[a, [b]]",
    '"(("',
    "constructor",
  );
  fc.assert(
    fc.property(fc.nat(lines.length - 1), value, (at, put) => {
      const changed = lines.map((line, index) => (index === at ? line.replace(/: [^{].*$|: \{.*$/, `: ${put}`) : line));
      expect(faultsIn(changed.join("\n"))).toEqual([]);
    }),
    { numRuns: 80 },
  );
});

test.each(["__proto__", "constructor", "toString", "hasOwnProperty"])(
  "%s, which JavaScript keeps for itself, is a name like any other",
  (name) => {
    const texts = ['"4078"', "74HC4078", "CLK", "q1", "J", "FM256-45", "32Kx8", "title", "tAA", "max"];
    for (const text of texts) expect(faultsIn(drawer.replaceAll(text, name))).toEqual([]);
  },
);
