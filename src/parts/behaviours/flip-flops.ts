import { define, numbered, register } from "./define.js";

interface FlipFlop {
  /** Data inputs besides clock, preset and clear. */
  readonly data: string;
  /** The next state, written for one section; `q` is the present state. */
  readonly next: string;
  readonly clock: "CLK" | "!CLK";
  readonly hasPreset: boolean;
}

/**
 * Two flip-flops in a package. While preset and clear are both active both outputs are high; which state stays when both
 * are released at once is not defined by any sheet (here: set).
 */
function dualFlipFlop(number: string, title: string, { data, next, clock, hasPreset }: FlipFlop) {
  const section = (n: number, logic: string) => logic.replaceAll(/[A-Z]+#?/g, `${n}$&`).replaceAll(/\bq\b/g, `q${n}`);
  const inputs = `CLR# CLK ${data}${hasPreset ? " PRE#" : ""}`.split(" ");
  return define({
    function: number,
    title,
    inputs: inputs.map((name) => `1${name}..2${name}`).join(" "),
    outputs: "1Q..2Q 1Q#..2Q#",
    storage: numbered(1, 2, (n) =>
      register(`q${n}`, section(n, clock), section(n, next), ...(hasPreset ? [[`!${n}PRE#`, "1"] as const] : []), [
        `!${n}CLR#`,
        "0",
      ]),
    ),
    drives: Object.fromEntries(
      numbered(1, 2, (n) => [
        [`${n}Q`, `q${n}`] as const,
        [`${n}Q#`, hasPreset ? `!q${n} | !${n}CLR#` : `!q${n}`] as const,
      ]).flat(),
    ),
    aliases: {
      ...dualAliases("CP", "CLK"),
      ...dualAliases("RD#", "CLR#"),
      ...dualAliases("CD#", "CLR#"),
      ...dualAliases("R#", "CLR#"),
      ...(hasPreset ? { ...dualAliases("SD#", "PRE#"), ...dualAliases("S#", "PRE#") } : {}),
      ...Object.fromEntries(["CLK", "Q", "Q#", ...data.split(" ")].map((name) => [`n${name}`, name])),
    },
  });
}

/** `CP` of two sections: `1CP`, `2CP`, and `CP`, `nCP` for the group. */
function dualAliases(theirs: string, ours: string): Readonly<Record<string, string>> {
  return { [theirs]: ours, [`n${theirs}`]: ours, [`1${theirs}`]: `1${ours}`, [`2${theirs}`]: `2${ours}` };
}

const jk = "J & !q | !K & q";

export const flipFlopBehaviours = [
  dualFlipFlop("74", "dual D flip-flop, rising edge, preset and clear", {
    data: "D",
    next: "D",
    clock: "CLK",
    hasPreset: true,
  }),
  dualFlipFlop("107", "dual JK flip-flop, falling edge, clear", {
    data: "J K",
    next: jk,
    clock: "!CLK",
    hasPreset: false,
  }),
  dualFlipFlop("109", "dual JK# flip-flop, rising edge, preset and clear", {
    data: "J K#",
    next: "J & !q | K# & q",
    clock: "CLK",
    hasPreset: true,
  }),
  dualFlipFlop("112", "dual JK flip-flop, falling edge, preset and clear", {
    data: "J K",
    next: jk,
    clock: "!CLK",
    hasPreset: true,
  }),
  define({
    function: "1G74",
    title: "D flip-flop, rising edge, preset and clear",
    inputs: "CLR# CLK D PRE#",
    outputs: "Q Q#",
    storage: [register("q", "CLK", "D", ["!PRE#", "1"], ["!CLR#", "0"])],
    drives: { Q: "q", "Q#": "!q | !CLR#" },
    aliases: { CP: "CLK", "RD#": "CLR#", "SD#": "PRE#" },
  }),
  define({
    function: "1G79",
    title: "D flip-flop, rising edge",
    inputs: "CLK D",
    outputs: "Q",
    storage: [register("q", "CLK", "D")],
    drives: { Q: "q" },
    aliases: { CP: "CLK" },
  }),
  define({
    function: "1G80",
    title: "D flip-flop, rising edge, inverted output",
    inputs: "CLK D",
    outputs: "Q#",
    storage: [register("q", "CLK", "D")],
    drives: { "Q#": "!q" },
    aliases: { CP: "CLK" },
  }),
];
