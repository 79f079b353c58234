import { define, numbered } from "./define.js";

/** Several gates in a package: `logic` is written for one of them, its pins A, B .. Y; gate n has pins nA, nB .. nY. */
function gates(number: string, title: string, count: number, inputs: string, logic: string, unconnected = "") {
  const names = inputs.split(" ");
  const range = (name: string) => `1${name}..${count}${name}`;
  return define({
    function: number,
    title,
    inputs: names.map(range).join(" "),
    outputs: range("Y"),
    unconnected,
    drives: Object.fromEntries(
      numbered(1, count, (n) => [`${n}Y`, logic.replaceAll(/[A-Z]/g, (name) => `${n}${name}`)] as const),
    ),
    aliases: Object.fromEntries([...names, "Y"].map((name) => [`n${name}`, name])),
  });
}

/** One gate in a package of its own; pins without numbers. */
function singleGate(number: string, title: string, inputs: string, logic: string, unconnected = "") {
  return define({ function: number, title, inputs, outputs: "Y", unconnected, drives: { Y: logic } });
}

export const gateBehaviours = [
  gates("00", "quad 2-input NAND", 4, "A B", "!(A & B)"),
  gates("02", "quad 2-input NOR", 4, "A B", "!(A | B)"),
  gates("04", "hex inverter", 6, "A", "!A"),
  gates("08", "quad 2-input AND", 4, "A B", "A & B"),
  gates("10", "triple 3-input NAND", 3, "A B C", "!(A & B & C)"),
  gates("11", "triple 3-input AND", 3, "A B C", "A & B & C"),
  gates("14", "hex Schmitt-trigger inverter", 6, "A", "!A"),
  gates("20", "dual 4-input NAND", 2, "A B C D", "!(A & B & C & D)", "NC"),
  gates("21", "dual 4-input AND", 2, "A B C D", "A & B & C & D", "NC"),
  gates("27", "triple 3-input NOR", 3, "A B C", "!(A | B | C)"),
  gates("32", "quad 2-input OR", 4, "A B", "A | B"),
  gates("86", "quad 2-input exclusive OR", 4, "A B", "A ^ B"),
  singleGate("30", "8-input NAND", "A..H", "!(A & B & C & D & E & F & G & H)", "NC"),
  singleGate("1G00", "2-input NAND", "A B", "!(A & B)"),
  singleGate("1G04", "inverter", "A", "!A", "NC"),
  singleGate("1G08", "2-input AND", "A B", "A & B"),
  singleGate("1G32", "2-input OR", "A B", "A | B"),
  gates("2G32", "dual 2-input OR", 2, "A B", "A | B"),
];
