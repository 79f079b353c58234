import fc from "fast-check";
import type { DumpEvent } from "./dump-grammar.js";

/** A dump within the standard, and what is in it. */
export interface RandomDump {
  readonly text: string;
  readonly unitFs: number;
  readonly variables: readonly { readonly code: string; readonly size: number; readonly paths: readonly string[] }[];
  readonly events: readonly DumpEvent[];
}

const BIT_TYPES = ["wire", "reg", "tri0", "supply1", "integer", "time", "parameter", "wor", "trireg"];
const UNITS = ["fs", "ps", "ns", "us", "ms", "s"];

const gap = fc.constantFrom(" ", "\n", "\t", "\r\n", "  \n ", "\n\n");
const word = fc.stringMatching(/^[A-Za-z_][A-Za-z0-9_$#.]{0,8}$/);
const code = fc.stringMatching(/^[!-~]{1,3}$/);
const texts = fc.array(fc.oneof(word, fc.constantFrom("$var", "#12", "b01", "µs", "$", "end")), { maxLength: 4 });

const variables = fc.uniqueArray(
  fc.record({
    code,
    size: fc.oneof({ weight: 3, arbitrary: fc.constant(1) }, { weight: 2, arbitrary: fc.integer({ min: 2, max: 20 }) }),
    type: fc.constantFrom(...BIT_TYPES, "real", "event"),
    names: fc.array(fc.record({ name: word, range: fc.constantFrom("none", "attached", "apart") }), {
      minLength: 1,
      maxLength: 2,
    }),
    depth: fc.nat(2),
  }),
  { minLength: 1, maxLength: 5, selector: (variable) => variable.code },
);

/** A step of the dump: time goes on, a comment, values one by one or in a section. */
const steps = fc.array(
  fc.record({
    kind: fc.constantFrom("time", "values", "values", "comment", "$dumpvars", "$dumpall", "$dumpoff", "$dumpon"),
    ahead: fc.nat(1000),
    values: fc.array(
      fc.record({ which: fc.nat(99), bits: fc.stringMatching(/^[01xzXZ]{1,20}$/), upper: fc.boolean() }),
      {
        maxLength: 4,
      },
    ),
    text: texts,
  }),
  { maxLength: 12 },
);

/** Dumps within the standard, of every form that it allows. */
export const randomDumps: fc.Arbitrary<RandomDump> = fc
  .record({
    variables,
    steps,
    unit: fc.record({ number: fc.constantFrom(1, 10, 100), unit: fc.constantFrom(...UNITS), apart: fc.boolean() }),
    scopes: fc.tuple(word, word),
    said: texts,
    gaps: fc.array(gap, { minLength: 8, maxLength: 8 }),
  })
  .map(({ variables: chosen, steps: taken, unit, scopes, said, gaps }) => {
    const tokens: string[] = ["$date", ...said, "$end", "$comment", ...said, "$end"];
    tokens.push(
      "$timescale",
      ...(unit.apart ? [String(unit.number), unit.unit] : [`${unit.number}${unit.unit}`]),
      "$end",
    );
    const byDepth = [0, 1, 2].map((depth) => chosen.filter((variable) => variable.depth === depth));
    byDepth.forEach((declared, depth) => {
      if (depth > 0) tokens.push("$scope", "module", scopes[depth - 1] ?? "", "$end");
      for (const { code: id, size, type, names } of declared) {
        for (const { name, range } of names) {
          const bits = size === 1 ? "[3]" : `[${size - 1}:0]`;
          const reference = { none: [name], attached: [name + bits], apart: [name, bits] }[range] ?? [name];
          tokens.push("$var", type, String(size), id, ...reference, "$end");
        }
      }
    });
    tokens.push("$upscope", "$end", "$upscope", "$end", "$enddefinitions", "$end");

    const events: DumpEvent[] = [];
    let time = 0;
    for (const { kind, ahead, values, text } of taken) {
      if (kind === "time") {
        time += ahead;
        tokens.push(`#${time}`);
        continue;
      }
      if (kind === "comment") {
        tokens.push("$comment", ...text, "$end");
        continue;
      }
      if (kind !== "values") tokens.push(kind);
      for (const { which, bits, upper } of values) {
        const variable = chosen[which % chosen.length];
        if (!variable) continue;
        const { code: id, size, type } = variable;
        if (type === "real") {
          tokens.push(`${upper ? "R" : "r"}${(which - 50) / 8}`, id);
          continue;
        }
        const short = bits.slice(0, size);
        if (size === 1) tokens.push(short + id);
        else tokens.push((upper ? "B" : "b") + short, id);
        if (type === "event") continue;
        const fill = /[xz]/i.test(short[0] ?? "") ? (short[0] ?? "") : "0";
        events.push({ time, code: id, bits: short.padStart(size, fill).toLowerCase() });
      }
      if (kind !== "values") tokens.push("$end");
    }
    return {
      text: tokens.map((token, index) => token + (gaps[index % gaps.length] ?? " ")).join(""),
      unitFs: unit.number * 1000 ** UNITS.indexOf(unit.unit),
      variables: chosen.map(({ code: id, size, names, depth }) => ({
        code: id,
        size,
        paths: names.map(({ name }) => [...scopes.slice(0, depth), name].join(".")),
      })),
      events,
    };
  });
