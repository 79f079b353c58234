import { define, numbered } from "./define.js";

/** Four buffers, each with an enable of its own. */
function quadBuffer(number: string, title: string, enablePin: "OE#" | "OE") {
  const enable = (n: number) => (enablePin === "OE#" ? `!${n}OE#` : `${n}OE`);
  return define({
    function: number,
    title,
    inputs: `1${enablePin}..4${enablePin} 1A..4A`,
    outputs: "1Y..4Y",
    drives: Object.fromEntries(numbered(1, 4, (n) => [`${n}Y`, [`${n}A`, enable(n)]])),
    aliases:
      enablePin === "OE#"
        ? { "1G#..4G#": "1OE#..4OE#", "1C#..4C#": "1OE#..4OE#", "C#": "OE#", nA: "A", nY: "Y", "nOE#": "OE#" }
        : { "1G..4G": "1OE..4OE", "1C..4C": "1OE..4OE", C: "OE", nA: "A", nY: "Y", nOE: "OE" },
  });
}

/** Two groups of four buffers: pins gA1 to gA4, gY1 to gY4, enables 1OE# and 2OE# (2OE on the 241). */
function twoFours(number: string, title: string, logic: "A" | "!A", secondEnable: "2OE#" | "2OE" = "2OE#") {
  const enable = (g: number) => (g === 1 ? "!1OE#" : secondEnable === "2OE" ? "2OE" : "!2OE#");
  return define({
    function: number,
    title,
    inputs: `1OE# OE${secondEnable.endsWith("#") ? "#" : ""}:${secondEnable} 1A1..1A4 2A1..2A4`,
    outputs: "1Y1..1Y4 2Y1..2Y4",
    drives: Object.fromEntries(
      numbered(1, 2, (g) =>
        numbered(1, 4, (n) => [`${g}Y${n}`, [logic.replace("A", `${g}A${n}`), enable(g)]] as const),
      ).flat(),
    ),
    aliases: { "1G#": "1OE#", [secondEnable.replace("OE", "G")]: secondEnable },
  });
}

/** Eight buffers side by side, both enables low to drive. */
function octalBuffer(number: string, title: string, logic: "A" | "!A") {
  return define({
    function: number,
    title,
    inputs: "OE1#,OE2# A1..A8",
    outputs: "Y1..Y8",
    drives: Object.fromEntries(numbered(1, 8, (n) => [`Y${n}`, [`${logic}${n}`, "!OE1# & !OE2#"]])),
    aliases: { "G1#": "OE1#", "G2#": "OE2#", An: "A", Yn: "Y", "OEn#": "OE#", I: "A" },
  });
}

function singleBuffer(number: string, title: string, enablePin: "OE#" | "OE") {
  return define({
    function: number,
    title,
    inputs: `${enablePin} A`,
    outputs: "Y",
    drives: { Y: ["A", enablePin === "OE#" ? "!OE#" : "OE"] },
  });
}

export const bufferBehaviours = [
  quadBuffer("125", "quad buffer, three-state, enables active low", "OE#"),
  quadBuffer("126", "quad buffer, three-state, enables active high", "OE"),
  twoFours("240", "octal inverting buffer, three-state", "!A"),
  twoFours("241", "octal buffer, three-state, second enable active high", "A", "2OE"),
  twoFours("244", "octal buffer, three-state", "A"),
  octalBuffer("540", "octal inverting buffer, three-state, inputs opposite outputs", "!A"),
  octalBuffer("541", "octal buffer, three-state, inputs opposite outputs", "A"),
  singleBuffer("1G125", "buffer, three-state, enable active low", "OE#"),
  singleBuffer("1G126", "buffer, three-state, enable active high", "OE"),
];
