import type { Memory } from "../behaviour.js";
import { parseExpression } from "../expression.js";
import { define, numbered } from "./define.js";

const kilo = (words: number) => `${words / 1024}K`;

interface MemoryPins {
  /** 2048 for an 8-bit memory of 2K words. */
  readonly words: number;
  readonly selects: string;
  /** When the selects choose the chip. */
  readonly selected: string;
  readonly unconnected?: string;
}

const addresses = (words: number) => numbered(0, Math.log2(words) - 1, (n) => `A${n}`);
const dataPins = (prefix: string) => numbered(0, 7, (n) => `${prefix}${n}`);

const selectAliases = (selects: string): Readonly<Record<string, string>> =>
  selects === "CE#"
    ? { "CS#": "CE#", "E#": "CE#", "S#": "CE#" }
    : { "CE#": "CE1#", "CS#": "CE1#", "CS1#": "CE1#", "E1#": "CE1#", CS2: "CE2", E2: "CE2" };

/** Static RAM: reads while selected with OE# low and WE# high, writes while selected with WE# low. */
function staticRam(name: string, title: string, { words, selects, selected, unconnected = "" }: MemoryPins) {
  return define({
    function: name,
    title,
    inputs: `A0..A${Math.log2(words) - 1} ${selects} OE# WE#`,
    inOuts: "IO0..IO7",
    unconnected,
    memory: {
      address: addresses(words),
      data: dataPins("IO"),
      read: parseExpression(`${selected} & !OE# & WE#`),
      write: parseExpression(`${selected} & !WE#`),
    },
    aliases: {
      ...selectAliases(selects),
      "W#": "WE#",
      "G#": "OE#",
      "I/O0..I/O7": "IO0..IO7",
      "DQ0..DQ7": "IO0..IO7",
      "D0..D7": "IO0..IO7",
    },
  });
}

const oneSelect = { selects: "CE#", selected: "!CE#" };
const twoSelects = { selects: "CE1#:CE1# CE2:CE2", selected: "!CE1# & CE2" };
const ram = (words: number, pins: Omit<MemoryPins, "words">) =>
  staticRam(`${kilo(words)}x8`, `static RAM, ${kilo(words)} words of 8 bits`, { words, ...pins });

interface ReadOnly {
  readonly words: number;
  readonly data: "O" | "IO" | "DQ";
  readonly outputEnable?: string;
  readonly others?: string;
  readonly outputs?: string;
  readonly unconnected?: string;
  readonly undescribed?: string;
}

/**
 * A memory that the circuit only reads: EPROM, and EEPROM or flash with WE# held high. Programming is not modelled; while
 * WE# is low such a chip drives nothing.
 */
function readOnly(kind: string, of: ReadOnly) {
  const enable = of.outputEnable ?? "OE#";
  const writable = kind !== "EPROM";
  return define({
    function: `${kilo(of.words)}x8 ${kind}`,
    title: `${kind}, ${kilo(of.words)} words of 8 bits, read only here`,
    inputs: `A0..A${Math.log2(of.words) - 1} CE# ${enable}${writable ? " WE#" : ""} ${of.others ?? ""}`,
    outputs: `${of.data}0..${of.data}7`,
    unconnected: of.unconnected ?? "",
    undescribed: of.undescribed ?? "",
    memory: {
      address: addresses(of.words),
      data: dataPins(of.data),
      read: parseExpression(`!CE# & !${enable}${writable ? " & WE#" : ""}`),
    },
    aliases: {
      "CS#": "CE#",
      "E#": "CE#",
      "G#": enable,
      ...(enable === "OE#" ? {} : { "OE#": enable }),
      "D0..D7": `${of.data}0..${of.data}7`,
      "Q0..Q7": `${of.data}0..${of.data}7`,
      ...(of.data === "IO" ? { "I/O0..I/O7": "IO0..IO7" } : { "IO0..IO7": `${of.data}0..${of.data}7` }),
    },
  });
}

/**
 * Dual-port RAM: two ports onto one array, left and right, pins named `A0L`, `CEL#`, `IO0R`. Each reads and writes as a static
 * RAM by itself. What the chip does about both ports at one cell (BUSY#) and its mail-box interrupt (INT#) are not described.
 */
function dualPort(words: number, undescribed: string) {
  const port = (side: "L" | "R"): Memory => ({
    address: addresses(words).map((pin) => `${pin}${side}`),
    data: dataPins("IO").map((pin) => `${pin}${side}`),
    read: parseExpression(`!CE${side}# & !OE${side}# & WE${side}#`),
    write: parseExpression(`!CE${side}# & !WE${side}#`),
  });
  const last = Math.log2(words) - 1;
  const both = (make: (side: "L" | "R") => string) => `${make("L")} ${make("R")}`;
  return define({
    function: `${kilo(words)}x8 dual-port`,
    title: `dual-port static RAM, ${kilo(words)} words of 8 bits`,
    inputs: both((side) => `A${side}:A0${side}..A${last}${side} CE${side}# OE${side}# WE${side}#`),
    inOuts: both((side) => `IO${side}:IO0${side}..IO7${side}`),
    undescribed,
    memory: port("L"),
    otherPorts: [port("R")],
    aliases: Object.fromEntries(
      (["L", "R"] as const).flatMap((side) => [
        [`R/W${side}#`, `WE${side}#`],
        [`R/W${side}`, `WE${side}#`],
        [`RW${side}#`, `WE${side}#`],
        [`RW#${side}`, `WE${side}#`],
        [`CE#${side}`, `CE${side}#`],
        [`OE#${side}`, `OE${side}#`],
        [`I/O0${side}..I/O7${side}`, `IO0${side}..IO7${side}`],
      ]),
    ),
  });
}

export const memoryBehaviours = [
  ram(2048, oneSelect),
  ram(8192, { ...twoSelects, unconnected: "NC" }),
  ram(32768, oneSelect),
  ram(131072, { ...twoSelects, unconnected: "NC" }),
  ram(262144, twoSelects),
  ram(524288, oneSelect),
  staticRam("128Kx8 centre power", "static RAM, 128K words of 8 bits, one select", { words: 131072, ...oneSelect }),
  staticRam("512Kx8 centre power", "static RAM, 512K words of 8 bits, one select", {
    words: 524288,
    ...oneSelect,
    unconnected: "NC",
  }),
  dualPort(1024, "BUSYL# BUSYR# INTL# INTR#"),
  dualPort(2048, "BUSYL# BUSYR#"),
  dualPort(4096, ""),
  readOnly("EPROM", { words: 32768, data: "O", others: "VPP" }),
  readOnly("EPROM", { words: 65536, data: "O", outputEnable: "OE#/VPP" }),
  readOnly("EEPROM", { words: 8192, data: "IO", unconnected: "NC", undescribed: "RDY/BUSY#" }),
  readOnly("EEPROM", { words: 32768, data: "IO" }),
  readOnly("flash", { words: 131072, data: "DQ", unconnected: "NC" }),
  readOnly("flash", { words: 262144, data: "DQ", unconnected: "NC" }),
  readOnly("flash", { words: 524288, data: "DQ" }),
];
