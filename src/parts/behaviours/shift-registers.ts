import { define, register } from "./define.js";

const A_TO_H = Array.from("ABCDEFGH");

/** 164: A and B together are the serial input. */
const serialIn164 = define({
  function: "164",
  title: "8-bit serial-in parallel-out shift register, clear",
  inputs: "CLR# CLK SER:A,B",
  outputs: "Q:QA..QH",
  storage: A_TO_H.map((letter, i) =>
    register(`q${letter}`, "CLK", i === 0 ? "A & B" : `q${A_TO_H[i - 1]}`, ["!CLR#", "0"]),
  ),
  drives: Object.fromEntries(A_TO_H.map((letter) => [`Q${letter}`, `q${letter}`])),
  aliases: { CP: "CLK", "MR#": "CLR#", DSA: "A", DSB: "B", "Q0..Q7": "QA..QH", Qn: "Q" },
});

/** 165: while SH/LD# is low the data are taken over at once, whatever the clock does. Either clock input inhibits. */
const parallelIn165 = define({
  function: "165",
  title: "8-bit parallel-in serial-out shift register, asynchronous load",
  inputs: "SH/LD# CLK CLKINH SER DATA:A..H",
  outputs: "QH QH#",
  storage: A_TO_H.map((letter, i) =>
    register(`q${letter}`, "CLK | CLKINH", i === 0 ? "SER" : `q${A_TO_H[i - 1]}`, ["!SH/LD#", letter]),
  ),
  drives: { QH: "qH", "QH#": "!qH" },
  aliases: {
    CP: "CLK",
    "CE#": "CLKINH",
    CE: "CLKINH",
    "PL#": "SH/LD#",
    "SH/LD": "SH/LD#",
    DS: "SER",
    "D0..D7": "A..H",
    Q7: "QH",
    "Q7#": "QH#",
    Dn: "DATA",
  },
});

/** 166: load and shift both wait for the clock; clear acts at once. */
const parallelIn166 = define({
  function: "166",
  title: "8-bit parallel-in serial-out shift register, synchronous load, clear",
  inputs: "SH/LD# CLK CLKINH CLR# SER DATA:A..H",
  outputs: "QH",
  storage: A_TO_H.map((letter, i) =>
    register(`q${letter}`, "CLK | CLKINH", `SH/LD# ? ${i === 0 ? "SER" : `q${A_TO_H[i - 1]}`} : ${letter}`, [
      "!CLR#",
      "0",
    ]),
  ),
  drives: { QH: "qH" },
  aliases: {
    CP: "CLK",
    "CE#": "CLKINH",
    "MR#": "CLR#",
    "PE#": "SH/LD#",
    "SH/LD": "SH/LD#",
    DS: "SER",
    "D0..D7": "A..H",
    Q7: "QH",
    Dn: "DATA",
  },
});

/** 194: S1 S0 = 00 holds, 01 shifts from QA towards QD, 10 towards QA, 11 loads. */
const universal194 = define({
  function: "194",
  title: "4-bit shift register, both directions, load, clear",
  inputs: "CLR# CLK S0,S1 SRSER SLSER DATA:A..D",
  outputs: "Q:QA..QD",
  storage: (
    [
      ["A", "SRSER", "qB"],
      ["B", "qA", "qC"],
      ["C", "qB", "qD"],
      ["D", "qC", "SLSER"],
    ] as const
  ).map(([letter, before, after]) =>
    register(`q${letter}`, "CLK", `S1 ? (S0 ? ${letter} : ${after}) : (S0 ? ${before} : q${letter})`, ["!CLR#", "0"]),
  ),
  drives: { QA: "qA", QB: "qB", QC: "qC", QD: "qD" },
  aliases: {
    CP: "CLK",
    "MR#": "CLR#",
    DSR: "SRSER",
    DSL: "SLSER",
    "D0..D3": "A..D",
    "Q0..Q3": "QA..QD",
    Dn: "DATA",
    Qn: "Q",
  },
});

/** 595: a shift register, and an output register that takes it when RCLK rises. */
const registered595 = define({
  function: "595",
  title: "8-bit serial-in shift register with output register, three-state",
  inputs: "SER SRCLK SRCLR# RCLK OE#",
  outputs: "Q:QA..QH QH'",
  storage: [
    ...A_TO_H.map((letter, i) =>
      register(`s${letter}`, "SRCLK", i === 0 ? "SER" : `s${A_TO_H[i - 1]}`, ["!SRCLR#", "0"]),
    ),
    ...A_TO_H.map((letter) => register(`q${letter}`, "RCLK", `s${letter}`)),
  ],
  drives: {
    ...Object.fromEntries(A_TO_H.map((letter) => [`Q${letter}`, [`q${letter}`, "!OE#"] as const])),
    "QH'": "sH",
  },
  aliases: {
    DS: "SER",
    SHCP: "SRCLK",
    SH_CP: "SRCLK",
    SRCK: "SRCLK",
    STCP: "RCLK",
    ST_CP: "RCLK",
    RCK: "RCLK",
    "MR#": "SRCLR#",
    "G#": "OE#",
    "Q0..Q7": "QA..QH",
    Q7S: "QH'",
    "Q7'": "QH'",
    Qn: "Q",
    "QA-QH": "Q",
  },
});

/**
 * 597: an input register, and a shift register that SRLOAD# low loads from it at once. The sheets forbid clear and load
 * together; here clear wins.
 */
const registered597 = define({
  function: "597",
  title: "8-bit shift register with input register, asynchronous load, clear",
  inputs: "DATA:A..H RCLK SRLOAD# SRCLK SRCLR# SER",
  outputs: "QH",
  storage: [
    ...A_TO_H.map((letter) => register(`r${letter}`, "RCLK", letter)),
    ...A_TO_H.map((letter, i) =>
      register(
        `q${letter}`,
        "SRCLK",
        i === 0 ? "SER" : `q${A_TO_H[i - 1]}`,
        ["!SRCLR#", "0"],
        ["!SRLOAD#", `r${letter}`],
      ),
    ),
  ],
  drives: { QH: "qH" },
  aliases: {
    "D0..D7": "A..H",
    Dn: "DATA",
    STCP: "RCLK",
    RCK: "RCLK",
    SHCP: "SRCLK",
    SRCK: "SRCLK",
    "PL#": "SRLOAD#",
    "MR#": "SRCLR#",
    DS: "SER",
    Q7: "QH",
    Q: "QH",
  },
});

export const shiftRegisterBehaviours = [
  serialIn164,
  parallelIn165,
  parallelIn166,
  universal194,
  registered595,
  registered597,
];
