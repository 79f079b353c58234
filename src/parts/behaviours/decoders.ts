import { define, numbered } from "./define.js";

/** True while the binary number on `selects` (the first the least) is `n`. */
const is = (n: number, selects: readonly string[]) =>
  selects.map((select, bit) => ((n >> bit) & 1 ? select : `!${select}`)).join(" & ");

export const decoderBehaviours = [
  define({
    function: "138",
    title: "3-to-8 decoder",
    inputs: "SELECT:A,B,C G1:G1 G2#:G2A#,G2B#",
    outputs: "Y0#..Y7#",
    drives: Object.fromEntries(numbered(0, 7, (n) => [`Y${n}#`, `!(G1 & !G2A# & !G2B# & ${is(n, ["A", "B", "C"])})`])),
    aliases: {
      "A0..A2": "A..C",
      "E1#": "G2A#",
      "E2#": "G2B#",
      E3: "G1",
      "O0#..O7#": "Y0#..Y7#",
      "O#": "Y#",
      S: "SELECT",
    },
  }),
  define({
    function: "139",
    title: "dual 2-to-4 decoder",
    inputs: "1G#..2G# 1A..2A 1B..2B",
    outputs: "1Y0#..1Y3# 2Y0#..2Y3#",
    drives: Object.fromEntries(
      numbered(1, 2, (g) =>
        numbered(0, 3, (n) => [`${g}Y${n}#`, `!(!${g}G# & ${is(n, [`${g}A`, `${g}B`])})`] as const),
      ).flat(),
    ),
    aliases: {
      "1E#..2E#": "1G#..2G#",
      "E#": "G#",
      "nE#": "G#",
      "1A0..1A1": "1A..1B",
      "2A0..2A1": "2A..2B",
      nA: "A",
      nB: "B",
      "nY#": "Y#",
    },
  }),
];
