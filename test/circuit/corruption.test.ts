import { readFileSync, readdirSync } from "node:fs";
import fc from "fast-check";
import { expect, test } from "vitest";
import { formatProblem, readCircuit, readCsv, writeCsv } from "../../src/circuit/index.js";
import { findRaster } from "../../src/raster/index.js";
import { circuitOf, lamp, netOf } from "./harbour.js";

const RUNS = { numRuns: 300 };
const folder = new URL("mistakes/", import.meta.url);
const files = [lamp, ...readdirSync(folder).map((file) => readFileSync(new URL(file, folder), "utf8"))];
const list = writeCsv(circuitOf(lamp));

/** Reads a text both ways and returns what of the answers must never be, whatever the text. */
function faultsIn(text: string): readonly string[] {
  const lineCount = text.split("\n").length;
  return [readCircuit(text, "lamp.yaml", { findRaster }), readCsv(text, "lamp.csv")].flatMap((reading) => {
    const { problems } = reading;
    const isPlain = (line: string) => /^lamp\.(yaml|csv):\d+:\d+: [^\n\r]+$/.test(line);
    const hasResult = "circuit" in reading || "wiring" in reading;
    const hasErrors = problems.some(({ severity }) => severity === "error");
    return [
      ...problems.map(formatProblem).filter((line) => !isPlain(line)),
      ...problems.filter(({ line, endLine }) => line > lineCount || endLine < line).map(({ message }) => message),
      ...(hasResult === hasErrors ? ["a result in spite of errors, or none without"] : []),
    ];
  });
}

const base = fc.constantFrom(...files, list);

test("lines left out, doubled or exchanged never make the reader throw", () => {
  const edit = fc.record({ at: fc.nat(30), kind: fc.constantFrom("leave out", "double", "exchange") });
  fc.assert(
    fc.property(base, fc.array(edit, { minLength: 1, maxLength: 5 }), (text, edits) => {
      const lines = text.split("\n");
      for (const { at, kind } of edits) {
        const index = at % lines.length;
        const line = lines[index] ?? "";
        if (kind === "leave out") lines.splice(index, 1);
        else if (kind === "double") lines.splice(index, 0, line);
        else lines.splice(index, 2, lines[index + 1] ?? "", line);
      }
      expect(faultsIn(lines.join("\n"))).toEqual([]);
    }),
    RUNS,
  );
});

test("characters put in, taken out or changed never make the reader throw", () => {
  const sign = fc.oneof(
    fc.constantFrom(..."{}[]:,#&*!|>'\"%@`- \t\n\r0aA;".split("")),
    fc.string({ unit: "binary", maxLength: 1 }),
  );
  const edit = fc.record({ at: fc.nat(1000), sign, taken: fc.nat(2) });
  fc.assert(
    fc.property(base, fc.array(edit, { minLength: 1, maxLength: 8 }), (text, edits) => {
      let changed = text;
      for (const { at, sign, taken } of edits) {
        const index = at % (changed.length + 1);
        changed = changed.slice(0, index) + sign + changed.slice(index + taken);
      }
      expect(faultsIn(changed)).toEqual([]);
    }),
    RUNS,
  );
});

test("values of any kind in any place never make the reader throw", () => {
  const value = fc.constantFrom(
    "[]",
    "{}",
    "null",
    "3",
    "true",
    "''",
    "[[]]",
    "[null]",
    "{a: }",
    "{? [a] : b}",
    "&a x",
    "!!set x",
    "~",
    "[a, [b]]",
    "low",
  );
  fc.assert(
    fc.property(base, fc.nat(30), value, (text, at, value) => {
      const lines = text.split("\n");
      const index = at % lines.length;
      lines[index] = (lines[index] ?? "").replace(/: .*$/, `: ${value}`);
      expect(faultsIn(lines.join("\n"))).toEqual([]);
    }),
    RUNS,
  );
});

test.each(["__proto__", "constructor", "toString", "hasOwnProperty", "length"])(
  "%s, which JavaScript keeps for itself, is a name like any other",
  (name) => {
    const texts = [
      lamp.replace("title:", `${name}:`),
      lamp.replace("3Y: LAMP", `${name}: LAMP`),
      lamp.replace("U1:", `${name}:`),
      lamp.replaceAll("LAMP", name),
      lamp.replace("74HC04", name),
      lamp.replace("raster:", `makers: {${name}: ${name}}\nraster:`),
      lamp.replace("raster:", `supply: {main: 5 V, ${name}: 3 V}\nraster:`),
      `${lamp}inputs:\n  ${name}: {power-up only: low, at least: 1 ms}\n`,
    ];
    expect(texts.flatMap(faultsIn)).toEqual([]);
    expect(netOf(circuitOf(lamp.replaceAll("LAMP", name)), name).drivers).toHaveLength(1);
  },
);

test("random bytes never make the reader throw", () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 400 }), fc.string({ unit: "binary", maxLength: 200 }), (bytes, text) => {
      const texts = [new TextDecoder().decode(bytes), new TextDecoder("latin1").decode(bytes), text];
      expect(texts.flatMap(faultsIn)).toEqual([]);
    }),
    RUNS,
  );
});
