import { define, numbered } from "./define.js";

export const transceiverBehaviours = [
  define({
    function: "245",
    title: "octal bus transceiver, three-state; DIR high: A to B",
    inputs: "DIR OE#",
    inOuts: "A1..A8 B1..B8",
    drives: Object.fromEntries(
      numbered(1, 8, (n) => [
        [`B${n}`, [`A${n}`, "!OE# & DIR"]] as const,
        [`A${n}`, [`B${n}`, "!OE# & !DIR"]] as const,
      ]).flat(),
    ),
    aliases: { "G#": "OE#", "T/R#": "DIR", "CE#": "OE#", An: "A", Bn: "B" },
  }),
];
