import { define, numbered, register } from "./define.js";

interface ParallelRegister {
  readonly bits: number;
  readonly inputs: string;
  /** Next state of one bit; `D` its data pin, `q` its present state. Default: `D`. */
  readonly next?: string;
  readonly clear?: string;
  readonly enable?: string;
  readonly complements?: boolean;
  readonly aliases?: Readonly<Record<string, string>>;
}

/** Several D flip-flops with one clock: pins nD, nQ (and nQ#). */
function parallelRegister(number: string, title: string, of: ParallelRegister) {
  const { bits, clear, enable } = of;
  const next = (n: number) => (of.next ?? "D").replaceAll(/\bD\b/g, `${n}D`).replaceAll(/\bq\b/g, `q${n}`);
  const drive = (value: string) => (enable === undefined ? value : ([value, enable] as const));
  return define({
    function: number,
    title,
    inputs: `${of.inputs} 1D..${bits}D`,
    outputs: `1Q..${bits}Q${of.complements ? ` 1Q#..${bits}Q#` : ""}`,
    storage: numbered(1, bits, (n) =>
      register(`q${n}`, "CLK", next(n), ...(clear === undefined ? [] : [[clear, "0"] as const])),
    ),
    drives: Object.fromEntries(
      numbered(1, bits, (n) => [
        [`${n}Q`, drive(`q${n}`)] as const,
        ...(of.complements ? [[`${n}Q#`, drive(`!q${n}`)] as const] : []),
      ]).flat(),
    ),
    aliases: {
      CP: "CLK",
      CK: "CLK",
      [`D0..D${bits - 1}`]: `1D..${bits}D`,
      [`Q0..Q${bits - 1}`]: `1Q..${bits}Q`,
      ...(of.complements ? { [`Q0#..Q${bits - 1}#`]: `1Q#..${bits}Q#` } : {}),
      Dn: "D",
      Qn: "Q",
      ...of.aliases,
    },
  });
}

const withClear = { inputs: "CLR# CLK", clear: "!CLR#", aliases: { "MR#": "CLR#" } };
const threeState = { bits: 8, inputs: "OE# CLK", enable: "!OE#", aliases: { "OC#": "OE#" } };

export const registerBehaviours = [
  parallelRegister("173", "quad D register, enabled, three-state", {
    bits: 4,
    inputs: "OE#:M#,N# CLK CLR G1#,G2#",
    next: "G1# | G2# ? q : D",
    clear: "CLR",
    enable: "!M# & !N#",
    aliases: { MR: "CLR", "OE1#": "M#", "OE2#": "N#", "E1#": "G1#", "E2#": "G2#", "E#": "G#" },
  }),
  parallelRegister("174", "hex D flip-flop with clear", { bits: 6, ...withClear }),
  parallelRegister("175", "quad D flip-flop with clear, true and complement outputs", {
    bits: 4,
    complements: true,
    ...withClear,
  }),
  parallelRegister("273", "octal D flip-flop with clear", { bits: 8, ...withClear }),
  parallelRegister("374", "octal D flip-flop, three-state", threeState),
  parallelRegister("574", "octal D flip-flop, three-state, inputs opposite outputs", threeState),
  parallelRegister("377", "octal D flip-flop with enable", {
    bits: 8,
    inputs: "CLKEN# CLK",
    next: "CLKEN# ? q : D",
    aliases: { "E#": "CLKEN#", "CE#": "CLKEN#", "G#": "CLKEN#" },
  }),
];
