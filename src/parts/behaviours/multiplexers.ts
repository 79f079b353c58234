import { define, numbered } from "./define.js";

/** Two words of four bits to one: A#/B low takes A. */
function quadTwoToOne(number: string, title: string, enablePin: "G#" | "OE#") {
  const chosen = (n: number) => `A#/B ? ${n}B : ${n}A`;
  return define({
    function: number,
    title,
    inputs: `SELECT:A#/B ${enablePin} 1A..4A 1B..4B`,
    outputs: "1Y..4Y",
    drives: Object.fromEntries(
      numbered(1, 4, (n) => [`${n}Y`, enablePin === "OE#" ? [chosen(n), "!OE#"] : `!G# & (${chosen(n)})`] as const),
    ),
    aliases: {
      S: "A#/B",
      "A/B": "A#/B",
      "1I0..4I0": "1A..4A",
      "1I1..4I1": "1B..4B",
      I0: "A",
      I1: "B",
      nI0: "A",
      nI1: "B",
      nY: "Y",
      Z: "Y",
      ...(enablePin === "G#" ? { "E#": "G#", "OE#": "G#" } : { "G#": "OE#" }),
    },
  });
}

/** Chooses among `inputs` (a power of two of them) by `selects`, the first select being the least. */
function choose(inputs: readonly string[], selects: readonly string[]): string {
  const select = selects.at(-1);
  if (select === undefined) return inputs[0] ?? "0";
  const [half, rest] = [inputs.length / 2, selects.slice(0, -1)];
  return `(${select} ? ${choose(inputs.slice(half), rest)} : ${choose(inputs.slice(0, half), rest)})`;
}

const eight = choose(
  numbered(0, 7, (n) => `D${n}`),
  ["A", "B", "C"],
);

export const multiplexerBehaviours = [
  quadTwoToOne("157", "quad 2-to-1 multiplexer", "G#"),
  quadTwoToOne("257", "quad 2-to-1 multiplexer, three-state", "OE#"),
  define({
    function: "151",
    title: "8-to-1 multiplexer; W is the complement of Y",
    inputs: "SELECT:A,B,C G# D0..D7",
    outputs: "Y W",
    drives: { Y: `!G# & ${eight}`, W: `!(!G# & ${eight})` },
    aliases: { "S0..S2": "A..C", "E#": "G#", "I0..I7": "D0..D7", "Y#": "W", Z: "Y", "Z#": "W", S: "SELECT" },
  }),
  define({
    function: "153",
    title: "dual 4-to-1 multiplexer",
    inputs: "SELECT:A,B 1G#..2G# 1C0..1C3 2C0..2C3",
    outputs: "1Y..2Y",
    drives: Object.fromEntries(
      numbered(1, 2, (g) => [
        `${g}Y`,
        `!${g}G# & ${choose(
          numbered(0, 3, (n) => `${g}C${n}`),
          ["A", "B"],
        )}`,
      ]),
    ),
    aliases: {
      "S0..S1": "A..B",
      S: "SELECT",
      "1E#..2E#": "1G#..2G#",
      "E#": "G#",
      "1I0..1I3": "1C0..1C3",
      "2I0..2I3": "2C0..2C3",
      I: "C",
    },
  }),
  define({
    function: "1G157",
    title: "2-to-1 multiplexer",
    inputs: "SELECT:A#/B A B",
    outputs: "Y",
    drives: { Y: "A#/B ? B : A" },
    aliases: { S: "A#/B", "A/B": "A#/B", I0: "A", I1: "B" },
  }),
];
