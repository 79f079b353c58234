import type { Weakness } from "./judged.js";

/** What a weakness means, in the account of a verdict. */
export const restSentence: Readonly<Record<Weakness, string>> = {
  "assumed minimum":
    "The margin rests on a least delay that no sheet states: the circuit file's assumption stands for it.",
  "assumed levels":
    "The margin rests on CMOS levels of a signal from outside, of which the circuit file does not say what it comes from.",
  "from memory": "The margin rests on a figure that was recalled and not read.",
  "common practice": "The margin rests on common practice, which no maker states.",
  measured: "The margin rests on a figure that the builder measured: no maker promises it of another chip.",
};
