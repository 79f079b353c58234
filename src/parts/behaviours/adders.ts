import { define, numbered } from "./define.js";

/** Carry out of bit `n`; bit 1 is the least. */
const carry = (n: number): string => (n === 0 ? "CIN" : `(A${n} & B${n} | (A${n} ^ B${n}) & ${carry(n - 1)})`);

export const adderBehaviours = [
  define({
    function: "283",
    title: "4-bit adder with fast carry",
    inputs: "A1..A4 B1..B4 CIN",
    outputs: "S1..S4 COUT",
    drives: {
      ...Object.fromEntries(numbered(1, 4, (n) => [`S${n}`, `A${n} ^ B${n} ^ ${carry(n - 1)}`])),
      COUT: carry(4),
    },
    aliases: { C0: "CIN", C4: "COUT", An: "A", Bn: "B", Sn: "S" },
  }),
];
