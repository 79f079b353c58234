import { define, latch, numbered, register } from "./define.js";

const letters = (count: number) => Array.from({ length: count }, (_, i) => String.fromCharCode(65 + i));

/** Next state of bit `i` of an up counter: toggles when all lower bits are one and `when` is true. */
const up = (bits: readonly string[], i: number, when = "1") =>
  `(${bits[i]} ^ (${[when, ...bits.slice(0, i)].join(" & ")}))`;

/** Next state of bit `i` of a down counter: toggles when all lower bits are zero. */
const down = (bits: readonly string[], i: number) =>
  `(${bits[i]} ^ (${["1", ...bits.slice(0, i).map((bit) => `!${bit}`)].join(" & ")}))`;

const q4 = ["qA", "qB", "qC", "qD"];
const presettable = { "D0..D3": "A..D", "P0..P3": "A..D", "Q0..Q3": "QA..QD", Dn: "DATA", Qn: "Q" };

/**
 * 161 and 163: load goes before count, ENP and ENT must both be high to count, RCO is all ones with ENT. The 163's clear is
 * read at the clock like the rest, before load; the 161's acts at once.
 */
function synchronousCounter(number: "161" | "163") {
  const next = (letter: string, i: number) => `(LOAD# ? ${up(q4, i, "ENP & ENT")} : ${letter})`;
  return define({
    function: number,
    title: `4-bit binary counter, ${number === "161" ? "asynchronous" : "synchronous"} clear`,
    inputs: "CLR# CLK LOAD# ENP ENT DATA:A..D",
    outputs: "Q:QA..QD RCO",
    storage: letters(4).map((letter, i) =>
      number === "161"
        ? register(`q${letter}`, "CLK", next(letter, i), ["!CLR#", "0"])
        : register(`q${letter}`, "CLK", `CLR# & ${next(letter, i)}`),
    ),
    drives: { ...shown(4), RCO: `ENT & ${q4.join(" & ")}` },
    aliases: {
      ...presettable,
      CP: "CLK",
      "MR#": "CLR#",
      "R#": "CLR#",
      "SR#": "CLR#",
      "PE#": "LOAD#",
      "SPE#": "LOAD#",
      PE: "ENP",
      TE: "ENT",
      CEP: "ENP",
      CET: "ENT",
      TC: "RCO",
      RC: "RCO",
      CARRY: "RCO",
    },
  });
}

/** Pins QA, QB .. show bits qA, qB ... */
function shown(count: number, hidden = "") {
  return Object.fromEntries(
    letters(count)
      .filter((letter) => !hidden.includes(letter))
      .map((letter) => [`Q${letter}`, `q${letter}`]),
  );
}

/** 393: counts on the falling edge. The sheets time every output from the clock, so all four bits are clocked by it. */
const dual393 = define({
  function: "393",
  title: "dual 4-bit counter, falling edge, clear",
  inputs: "1CLK..2CLK 1CLR..2CLR",
  outputs: "QA:1QA,2QA QB:1QB,2QB QC:1QC,2QC QD:1QD,2QD",
  storage: numbered(1, 2, (n) => {
    const bits = letters(4).map((letter) => `q${n}${letter}`);
    return bits.map((bit, i) => register(bit, `!${n}CLK`, up(bits, i), [`${n}CLR`, "0"]));
  }).flat(),
  drives: Object.fromEntries(
    numbered(1, 2, (n) => letters(4).map((letter) => [`${n}Q${letter}`, `q${n}${letter}`] as const)).flat(),
  ),
  aliases: {
    "1CP#..2CP#": "1CLK..2CLK",
    "1CP..2CP": "1CLK..2CLK",
    CP: "CLK",
    nCP: "CLK",
    "1MR..2MR": "1CLR..2CLR",
    MR: "CLR",
    nMR: "CLR",
    "1Q0..1Q3": "1QA..1QD",
    "2Q0..2Q3": "2QA..2QD",
    "Q0..Q3": "QA..QD",
    "nQ0..nQ3": "QA..QD",
  },
});

interface RippleCounter {
  readonly stages: number;
  /** Letters of stages that have no pin. */
  readonly hidden: string;
  readonly clockPin: "CLK" | "CLKI";
  readonly outputs: string;
  readonly drives?: Readonly<Record<string, string>>;
  readonly aliases?: Readonly<Record<string, string>>;
}

/**
 * 4020, 4040, 4060: each stage is clocked by the fall of the one before it. The stages inside are ideal: the arc from the
 * clock to an output spans as many stages as lie between, so its delay is the first stage's plus one `Qn to Qn+1` for each
 * stage that follows (hidden stages included). Makers number the outputs from 0 or from 1, so numbers are no aliases.
 */
function rippleCounter(number: string, title: string, of: RippleCounter) {
  const stages = letters(of.stages);
  return define({
    function: number,
    title,
    inputs: `${of.clockPin} CLR`,
    outputs: of.outputs,
    storage: stages.map((letter, i) =>
      register(`q${letter}`, i === 0 ? `!${of.clockPin}` : `!q${stages[i - 1]}`, `!q${letter}`, ["CLR", "0"]),
    ),
    drives: { ...shown(of.stages, of.hidden), ...of.drives },
    aliases: { MR: "CLR", RESET: "CLR", CP: of.clockPin, "CP#": of.clockPin, ...of.aliases },
  });
}

/**
 * 191: one clock, D/U# high counts down. CTEN# low counts; RCO# passes the low phase of the clock at the last count.
 * LOAD# takes the data over at once.
 */
const upDown191 = define({
  function: "191",
  title: "4-bit up/down counter, one clock, asynchronous load",
  inputs: "CLK CTEN# D/U# LOAD# DATA:A..D",
  outputs: "Q:QA..QD RCO# MAX/MIN",
  storage: letters(4).map((letter, i) =>
    register(`q${letter}`, "CLK", `CTEN# ? q${letter} : (D/U# ? ${down(q4, i)} : ${up(q4, i)})`, ["!LOAD#", letter]),
  ),
  drives: { ...shown(4), "MAX/MIN": lastCount(), "RCO#": `!(${lastCount()} & !CTEN# & !CLK)` },
  aliases: {
    ...presettable,
    CP: "CLK",
    "PL#": "LOAD#",
    "CE#": "CTEN#",
    "U#/D": "D/U#",
    "U/D": "D/U#",
    "D/U": "D/U#",
    "RC#": "RCO#",
    TC: "MAX/MIN",
  },
});

function lastCount() {
  return `(D/U# ? ${q4.map((bit) => `!${bit}`).join(" & ")} : ${q4.join(" & ")})`;
}

/**
 * 193: counts when UP or DOWN rises while the other is high. `dir` remembers which of the two was low. Clear goes before
 * load; both act at once.
 */
const upDown193 = define({
  function: "193",
  title: "4-bit up/down counter, two clocks, asynchronous load and clear",
  inputs: "UP DOWN CLR LOAD# DATA:A..D",
  outputs: "Q:QA..QD CO# BO#",
  storage: [
    latch("dir", "!(UP & DOWN)", "UP"),
    ...letters(4).map((letter, i) =>
      register(`q${letter}`, "UP & DOWN", `dir ? ${down(q4, i)} : ${up(q4, i)}`, ["CLR", "0"], ["!LOAD#", letter]),
    ),
  ],
  drives: {
    ...shown(4),
    "CO#": `!(${q4.join(" & ")} & !UP)`,
    "BO#": `!(${q4.map((bit) => `!${bit}`).join(" & ")} & !DOWN)`,
  },
  aliases: {
    ...presettable,
    CPU: "UP",
    CPD: "DOWN",
    MR: "CLR",
    "PL#": "LOAD#",
    "TCU#": "CO#",
    "TCD#": "BO#",
  },
});

/** 590: an 8-bit counter, and a register that takes the count when RCLK rises. RCO# is low at 255, enabled or not. */
const registered590 = define({
  function: "590",
  title: "8-bit counter with output register, three-state",
  inputs: "CCLK CCKEN# CCLR# RCLK OE#",
  outputs: "Q:QA..QH RCO#",
  storage: [
    ...letters(8).map((letter, i) =>
      register(
        `c${letter}`,
        "CCLK",
        up(
          letters(8).map((name) => `c${name}`),
          i,
          "!CCKEN#",
        ),
        ["!CCLR#", "0"],
      ),
    ),
    ...letters(8).map((letter) => register(`q${letter}`, "RCLK", `c${letter}`)),
  ],
  drives: {
    ...Object.fromEntries(letters(8).map((letter) => [`Q${letter}`, [`q${letter}`, "!OE#"] as const])),
    "RCO#": `!(${letters(8)
      .map((letter) => `c${letter}`)
      .join(" & ")})`,
  },
  aliases: { CCK: "CCLK", RCK: "RCLK", "G#": "OE#", "Q0..Q7": "QA..QH" },
});

export const counterBehaviours = [
  synchronousCounter("161"),
  synchronousCounter("163"),
  dual393,
  upDown191,
  upDown193,
  registered590,
  rippleCounter("4020", "14-stage ripple counter, falling edge, clear", {
    stages: 14,
    hidden: "BC",
    clockPin: "CLK",
    outputs: "Q:QA,QD..QN",
  }),
  rippleCounter("4040", "12-stage ripple counter, falling edge, clear", {
    stages: 12,
    hidden: "",
    clockPin: "CLK",
    outputs: "Q:QA..QL",
  }),
  rippleCounter("4060", "14-stage ripple counter with oscillator stage, falling edge, clear", {
    stages: 14,
    hidden: "ABCK",
    clockPin: "CLKI",
    outputs: "Q:QD..QJ,QL..QN CLKO CLKO#",
    drives: { CLKO: "CLKI & !CLR", "CLKO#": "!(CLKI & !CLR)" },
    aliases: { CLK: "CLKI", RS: "CLKI", CTC: "CLKO", RTC: "CLKO#" },
  }),
];
