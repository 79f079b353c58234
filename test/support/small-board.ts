import type { Circuit } from "../../src/circuit/circuit.js";
import { numbered, register } from "../../src/parts/behaviours/define.js";
import { type Part, parseExpression } from "../../src/parts/index.js";
import { buildCircuit, gate, invent, known, oscillator } from "./build-circuit.js";

/** Columns of 16 dots of the raster: 40 active, 1 of front porch, 6 of sync, 3 of back porch. */
const COLUMNS = 50;
const LINES = 525;

/** A counter 0 to `last`; `Q0` is the least bit. Counts while EN is high; WRAP is high at the last count. */
export function counter(bits: number, last: number): Part {
  const names = numbered(0, bits - 1, (n) => `q${n}`);
  const wrap = decode(names, last);
  return invent(
    {
      function: `counter to ${last}`,
      inputs: "CLK EN",
      outputs: `Q0..Q${bits - 1} WRAP`,
      storage: names.map((bit, n) => {
        const up = `(${bit} ^ (${["1", ...names.slice(0, n)].join(" & ")}))`;
        return register(bit, "CLK", `EN ? ${wrap} ? 0 : ${up} : ${bit}`);
      }),
      drives: { ...Object.fromEntries(names.map((bit, n) => [`Q${n}`, bit])), WRAP: wrap },
    },
    { delay: 9, setUp: 10, hold: 0, width: 10, period: 30 },
  );
}

/** High while the bits, least first, read `value`. */
export function decode(bits: readonly string[], value: number): string {
  return `(${bits.map((bit, n) => ((value >> n) & 1 ? bit : `!${bit}`)).join(" & ")})`;
}

/** High while the bits, least first, read at least `from` and less than `to`. */
export function within(bits: readonly string[], from: number, to: number): string {
  return `(${numbered(from, to - 1, (value) => decode(bits, value)).join(" | ")})`;
}

export interface SmallBoardOptions {
  /** The video leaves the board turned over; blanked it is still black. */
  readonly inverted?: boolean;
  /** Vertical sync is not decoded. */
  readonly noVerticalSync?: boolean;
  /** Both syncs leave on one net: active where either is, or where exactly one is. */
  readonly composite?: "or" | "exclusive or";
  /** The byte column whose number the count of frames has, modulo eight, is turned over; the byte columns are 0 to 4. */
  readonly moving?: boolean;
}

/**
 * A whole video board that takes few events: 640x480 at 60 Hz on the wire, 40 by 30 dots in a memory of 256 bytes, eight dots
 * a byte (bit 0 leftmost), eight bytes a row. Syncs and video leave a register. Made of invented chips with short delays.
 */
export function smallBoard(options: SmallBoardOptions = {}): Circuit {
  const { inverted = false, noVerticalSync = false, composite, moving = false } = options;
  const column = numbered(0, 5, (n) => `C${n}`);
  const line = numbered(0, 9, (n) => `L${n}`);
  const ram = invent(
    {
      function: "256x8",
      inputs: "A0..A7 CE# OE# WE#",
      inOuts: "IO0..IO7",
      memory: {
        address: numbered(0, 7, (n) => `A${n}`),
        data: numbered(0, 7, (n) => `IO${n}`),
        read: parseExpression("!CE# & !OE# & WE#"),
        write: parseExpression("!CE# & !WE#"),
      },
    },
    { delay: 70 },
  );
  const pins = (names: readonly string[]) => names.map((name) => `${name}=${name}`).join(" ");
  const isActive = `!(C5 & (C3 | C4)) & !L9 & !(L8 & L7 & L6 & L5)`; // columns 0 to 39, lines 0 to 479
  return buildCircuit({
    title: "Small board",
    raster: "640x480@60",
    picture: {
      hsync: composite ? "CSYNC" : "HSYNC",
      vsync: composite ? "CSYNC" : "VSYNC",
      video: "VIDEO",
      size: [40, 30],
    },
    chips: {
      X1: [oscillator((16 * 1000) / 25.175), "OUT=CLK"],
      U1: [counter(6, COLUMNS - 1), "CLK=CLK EN=high Q0..Q5=C0..C5 WRAP=WRAP"],
      U2: [counter(10, LINES - 1), "CLK=CLK EN=WRAP Q0..Q9=L0..L9 WRAP=LAST"],
      U3: [gate(column.join(" "), `!${within(column, 41, 47)}`, 5), `${pins(column)} Y=H`],
      U4: noVerticalSync
        ? [gate("A", "A | 1", 5), "A=L0 Y=V"]
        : [gate(line.join(" "), `!${within(line, 490, 492)}`, 5), `${pins(line)} Y=V`],
      U5: [ram, "A0..A2=C3..C5 A3..A7=L4..L8 CE#=low OE#=low WE#=high IO0..IO7=D0..D7"],
      U6: [known("151", { delay: 20 }), "A=C0 B=C1 C=C2 D0..D7=D0..D7 G#=low Y=DOT"],
      U7: [
        gate(`DOT ${[...column, ...line].join(" ")}`, `${inverted ? "!DOT" : "DOT"} & ${isActive}`, 7),
        `DOT=${moving ? "TURNED" : "DOT"} ${pins([...column, ...line])} Y=LIT`,
      ],
      U8: [
        known("174", { delay: 15, setUp: 20, hold: 3, width: 20, period: 50 }),
        composite
          ? "CLK=CLK CLR#=high 1D=HV 2D=low 3D=LIT 4D..6D=low 1Q=CSYNC 3Q=VIDEO"
          : "CLK=CLK CLR#=high 1D=H 2D=V 3D=LIT 4D..6D=low 1Q=HSYNC 2Q=VSYNC 3Q=VIDEO",
      ],
      ...(composite && { U9: [gate("H V", composite === "or" ? "H & V" : "!(H ^ V)", 5), "H=H V=V Y=HV"] }),
      ...(moving && {
        U10: [gate("A B", "A & B", 5), "A=WRAP B=LAST Y=NEXT"],
        U11: [counter(3, 7), "CLK=CLK EN=NEXT Q0..Q2=F0..F2"],
        U12: [
          gate("DOT C3 C4 C5 F0 F1 F2", "DOT ^ (!(C3 ^ F0) & !(C4 ^ F1) & !(C5 ^ F2))", 7),
          "DOT=DOT C3=C3 C4=C4 C5=C5 F0=F0 F1=F1 F2=F2 Y=TURNED",
        ],
      }),
    },
  });
}
