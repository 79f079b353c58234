import { define, latch, numbered } from "./define.js";

/** Eight transparent latches: pins nD, nQ. Open while LE is high. */
function octalLatch(number: string, title: string) {
  return define({
    function: number,
    title,
    inputs: "OE# LE 1D..8D",
    outputs: "1Q..8Q",
    storage: numbered(1, 8, (n) => latch(`q${n}`, "LE", `${n}D`)),
    drives: Object.fromEntries(numbered(1, 8, (n) => [`${n}Q`, [`q${n}`, "!OE#"]])),
    aliases: { C: "LE", "OC#": "OE#", "D0..D7": "1D..8D", "Q0..Q7": "1Q..8Q", Dn: "D", Qn: "Q" },
  });
}

export const latchBehaviours = [
  octalLatch("373", "octal transparent latch, three-state"),
  octalLatch("573", "octal transparent latch, three-state, inputs opposite outputs"),
];
