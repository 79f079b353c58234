import type { Circuit } from "../../src/circuit/circuit.js";
import { numbered } from "../../src/parts/behaviours/define.js";
import { type Part, parseExpression } from "../../src/parts/index.js";
import { buildCircuit, gate, invent, known, netOf, oscillator, type CircuitText } from "../support/build-circuit.js";
import { counter, within } from "../support/small-board.js";

/**
 * Whole video boards that take few events: 640x480 at 60 Hz on the wire, 40 by 30 dots in a memory that a processor writes
 * through a port of its own. Made of invented chips with short delays.
 */
export interface FilledBoardOptions {
  /**
   * What is in the memory: a bit a dot (eight dots a byte, eight bytes a row), two bits a dot (four dots a byte, sixteen bytes
   * a row), or a byte for each character of 8 x 8 dots, whose shapes are in a ROM.
   */
  readonly shows?: "bits" | "pairs" | "characters";
  /** Nets of the memory's address and data pins on the screen's side, in another order. */
  readonly swapped?: boolean;
  /** A bit a dot in two memories: rows from 16 on in the other, or every other byte of a row. */
  readonly halves?: "banks" | "lanes";
  /**
   * A bit a dot in a memory of two pages, each a ring of 32 rows: ST0 to ST4 say with which row the picture begins, PAGE which
   * page it is. `processor` makes them.
   */
  readonly moves?: boolean;
  /** Chips between the processor's inputs and the memory's second port, and the inputs; none when absent. */
  readonly processor?: Pick<CircuitText, "chips" | "inputs">;
}

/** A memory with a port for the screen (A, IO), which reads while it is selected, and one that the processor writes (WA, WD). */
export function twoPortRam(addressBits: number): Part {
  const last = addressBits - 1;
  return invent(
    {
      function: `${2 ** addressBits}x8 of two ports`,
      inputs: `A0..A${last} WA0..WA${last} WW# CE#`,
      inOuts: "IO0..IO7 WD0..WD7",
      memory: {
        address: numbered(0, last, (n) => `A${n}`),
        data: numbered(0, 7, (n) => `IO${n}`),
        read: parseExpression("!CE#"),
      },
      otherPorts: [
        {
          address: numbered(0, last, (n) => `WA${n}`),
          data: numbered(0, 7, (n) => `WD${n}`),
          read: parseExpression("0"),
          write: parseExpression("!WW#"),
        },
      ],
    },
    { delay: 20 },
  );
}

function rom(addressBits: number): Part {
  const last = addressBits - 1;
  return invent(
    {
      function: `${2 ** addressBits}x8 ROM`,
      inputs: `A0..A${last}`,
      outputs: "O0..O7",
      memory: {
        address: numbered(0, last, (n) => `A${n}`),
        data: numbered(0, 7, (n) => `O${n}`),
        read: parseExpression("1"),
      },
    },
    { delay: 20 },
  );
}

/** Pins of a bus on nets in this order: `A0=C3 A1=C4`. */
function onto(pin: string, nets: readonly string[]): string {
  return nets.map((net, n) => `${pin}${n}=${net}`).join(" ");
}

export function filledBoard({
  shows = "bits",
  swapped = false,
  halves,
  moves = false,
  processor,
}: FilledBoardOptions = {}): Circuit {
  const column = numbered(0, 5, (n) => `C${n}`);
  const line = numbered(0, 9, (n) => `L${n}`);
  const pins = (names: readonly string[]) => names.map((name) => `${name}=${name}`).join(" ");
  const isActive = `!(C5 & (C3 | C4)) & !L9 & !(L8 & L7 & L6 & L5)`;
  const address = {
    bits: ["C3", "C4", "C5", ...(moves ? ["R0", "R1", "R2", "R3", "R4", "PAGE"] : ["L4", "L5", "L6", "L7", "L8"])],
    pairs: ["C2", "C3", "C4", "C5", "L4", "L5", "L6", "L7", "L8"],
    characters: ["C3", "C4", "C5", "L7", "L8"],
  }[shows];
  const turn = <T>(list: readonly T[]): readonly T[] =>
    swapped ? [...list.slice(3), ...list.slice(0, 3)].reverse() : list;
  const data = turn(numbered(0, 7, (n) => `D${n}`));
  const write = processor
    ? `${onto(
        "WA",
        address.map((_, n) => `WA${n}`),
      )} ${onto(
        "WD",
        numbered(0, 7, (n) => `WD${n}`),
      )} WW#=WW#`
    : "WW#=high";
  const mux = known("151", { delay: 20 });
  const shown: CircuitText["chips"] = {
    bits: {
      U6: [
        mux,
        `A=C0 B=C1 C=C2 ${onto(
          "D",
          numbered(0, 7, (n) => `D${n}`),
        )} G#=low Y=DOT`,
      ],
    } as CircuitText["chips"],
    pairs: {
      U6: [mux, "A=C0 B=C1 C=low D0=D0 D1=D2 D2=D4 D3=D6 D4..D7=low G#=low Y=DOT"],
      U9: [mux, "A=C0 B=C1 C=low D0=D1 D1=D3 D2=D5 D3=D7 D4..D7=low G#=low Y=DOT2"],
    } as CircuitText["chips"],
    characters: {
      U9: [
        rom(10),
        `${onto("A", turn(["L4", "L5", "L6", "D0", "D1", "D2", "D3", "D4", "D5", "D6"]))} ${onto(
          "O",
          numbered(0, 7, (n) => `G${n}`),
        )}`,
      ],
      U10: [
        mux,
        `A=C0 B=C1 C=C2 ${onto(
          "D",
          numbered(0, 7, (n) => `G${n}`),
        )} G#=low Y=SHAPE`,
      ],
      U6: [gate("A B", "A ^ B", 5), "A=SHAPE B=D7 Y=DOT"],
    } as CircuitText["chips"],
  }[shows];
  const circuit = buildCircuit({
    title: "Filled board",
    raster: "640x480@60",
    picture: { hsync: "HSYNC", vsync: "VSYNC", video: "VIDEO", size: [40, 30] },
    inputs: processor?.inputs ?? {},
    chips: {
      X1: [oscillator((16 * 1000) / 25.175), "OUT=CLK"],
      U1: [counter(6, 49), "CLK=CLK EN=high Q0..Q5=C0..C5 WRAP=WRAP"],
      U2: [counter(10, 524), "CLK=CLK EN=WRAP Q0..Q9=L0..L9"],
      U3: [gate(column.join(" "), `!${within(column, 41, 47)}`, 5), `${pins(column)} Y=H`],
      U4: [gate(line.join(" "), `!${within(line, 490, 492)}`, 5), `${pins(line)} Y=V`],
      ...(halves
        ? halfMemories(address, halves === "banks" ? "L8" : "C3", data)
        : { U5: [twoPortRam(address.length), `${onto("A", turn(address))} ${onto("IO", data)} CE#=low ${write}`] }),
      ...shown,
      U7: [
        gate(`DOT ${[...column, ...line].join(" ")}`, `DOT & ${isActive}`, 7),
        `DOT=DOT ${pins([...column, ...line])} Y=LIT`,
      ],
      ...(shows === "pairs" && {
        U11: [
          gate(`DOT ${[...column, ...line].join(" ")}`, `DOT & ${isActive}`, 7),
          `DOT=DOT2 ${pins([...column, ...line])} Y=LIT2`,
        ],
      }),
      U8: [
        known("174", { delay: 15, setUp: 20, hold: 3, width: 20, period: 50 }),
        `CLK=CLK CLR#=high 1D=H 2D=V 3D=LIT 4D=${shows === "pairs" ? "LIT2" : "low"} 5D..6D=low 1Q=HSYNC 2Q=VSYNC 3Q=VIDEO 4Q=VIDEO2`,
      ],
      ...(moves && {
        U12: [known("283", { delay: 5 }), "CIN=low A1..A4=L4..L7 B1..B4=ST0..ST3 S1..S4=R0..R3 COUT=CARRY"],
        U13: [known("283", { delay: 5 }), "CIN=CARRY A1=L8 A2..A4=low B1=ST4 B2..B4=low S1=R4"],
      }),
      ...processor?.chips,
    },
  });
  if (shows !== "pairs" || !circuit.picture) return circuit;
  // Red and green of a bit each: the odd bits of a byte and the even ones.
  const video = {
    kind: "colour",
    red: [netOf(circuit, "VIDEO2").id],
    green: [netOf(circuit, "VIDEO").id],
    blue: [],
  } as const;
  return { ...circuit, picture: { ...circuit.picture, video } };
}

/** Two memories, of which one line of the address chooses one: low the first, on the processor's side too. */
function halfMemories(address: readonly string[], by: string, data: readonly string[]): CircuitText["chips"] {
  const [place, rest] = [address.indexOf(by), address.filter((net) => net !== by)];
  const written = address.map((_, n) => `WA${n}`).filter((_, n) => n !== place);
  const half = (ce: string, ww: string): CircuitText["chips"][string] => [
    twoPortRam(rest.length),
    `${onto("A", rest)} ${onto("IO", data)} ${onto("WA", written)} ${onto(
      "WD",
      numbered(0, 7, (n) => `WD${n}`),
    )} CE#=${ce} WW#=${ww}`,
  ];
  return {
    U5: half(by, "WW_LOW#"),
    U14: half("UPPER#", "WW_HIGH#"),
    U15: [gate("A", "!A", 5), `A=${by} Y=UPPER#`],
    U16: [gate("A B", "A | B", 5), `A=WW# B=WA${place} Y=WW_LOW#`],
    U17: [gate("A B", "A | !B", 5), `A=WW# B=WA${place} Y=WW_HIGH#`],
  };
}

type Processor = NonNullable<FilledBoardOptions["processor"]>;

/** A bus of its own for address and data; the strobe writes while it is low. Bits of both are swapped on the way,
 * or writes let through in vertical blanking alone, where asked for. */
export function parallelProcessor({ swapped = false, blankingOnly = false } = {}): Processor {
  const turn = (bit: number) => (swapped ? 7 - bit : bit);
  return {
    inputs: {
      "WR#": { anyTime: { high: 50, low: 100, repeat: 400 } },
      "PA0..PA7": { steadyAround: ["WR#", "rise"], before: 120, after: 10 },
      "PD0..PD7": { steadyAround: ["WR#", "rise"], before: 60, after: 10 },
    },
    chips: {
      ...Object.fromEntries(
        numbered(0, 7, (bit) => bit).flatMap((bit) => [
          [`B${bit}`, [gate("A", "A", 5), `A=PA${turn(bit)} Y=WA${bit}`]],
          [`E${bit}`, [gate("A", "A", 5), `A=PD${turn(bit)} Y=WD${bit}`]],
        ]),
      ),
      // Lines 480 to 524 are blank.
      B8: blankingOnly
        ? [gate("A B C D E F", "A | !(F | (B & C & D & E))", 5), "A=WR# B=L8 C=L7 D=L6 E=L5 F=L9 Y=WW#"]
        : [gate("A", "A", 5), "A=WR# Y=WW#"],
    },
  };
}

/** Eight wires for address and data in turn: two select lines and the strobe load the address latch or write. */
export function latchedProcessor(): Processor {
  return {
    inputs: {
      "WR#": { anyTime: { high: 50, low: 100, repeat: 400 } },
      "P0..P7": { steadyAround: ["WR#", "rise"], before: 60, after: 10 },
      "S0..S1": { steadyAround: ["WR#", "rise"], before: 160, after: 10 },
    },
    chips: {
      B0: [known("138", { delay: 10 }), "A=S0 B=S1 C=low G1=high G2A#=WR# G2B#=low Y1#=LATCH# Y2#=WW#"],
      B1: [
        known("574", { delay: 10, setUp: 10, hold: 2, width: 10, period: 30 }),
        `CLK=LATCH# OE#=low ${numbered(1, 8, (n) => `${n}D=P${n - 1} ${n}Q=WA${n - 1}`).join(" ")}`,
      ],
      ...Object.fromEntries(numbered(0, 7, (n) => [`E${n}`, [gate("A", "A", 5), `A=P${n} Y=WD${n}`]])),
    },
  };
}

/** Three wires and a strobe: a chain of shift registers of 8 bits with latches, the first output of which goes nowhere. */
export function serialProcessor(): Processor {
  const register = known("595", { delay: 10, setUp: 10, hold: 2, width: 10, recovery: 5, period: 30 });
  const outs = (nets: readonly string[]) =>
    [..."ABCDEFGH"].map((letter, n) => `Q${letter}=${nets[n] ?? "NC"}`).join(" ");
  const common = "SRCLK=SCK SRCLR#=high RCLK=RCK OE#=low";
  return {
    inputs: {
      SCK: { anyTime: { high: 20, low: 20, repeat: 60 } },
      SER: { steadyAround: ["SCK", "rise"], before: 25, after: 5 },
      RCK: { anyTime: { high: 30, low: 30, repeat: 100 } },
      "WR#": { anyTime: { high: 50, low: 100, repeat: 400 } },
    },
    chips: {
      B0: [register, `SER=SER ${common} ${outs(["NC0", "WA0", "WA2", "WA1", "WA3", "WA4", "WA5", "WA6"])} QH'=Q1`],
      B1: [register, `SER=Q1 ${common} ${outs(["WA7", "WD0", "WD1", "WD2", "WD3", "WD4", "WD5", "WD6"])} QH'=Q2`],
      B2: [register, `SER=Q2 ${common} ${outs(["WD7", "NC1", "NC2", "NC3", "NC4", "NC5", "NC6", "NC7"])}`],
      B3: [gate("A", "A", 5), "A=WR# Y=WW#"],
    },
  };
}

/** A bus of its own; the strobe writes the memory, or, with S high, sets the register of row and page. */
export function movingProcessor(): Processor {
  return {
    inputs: {
      "WR#": { anyTime: { high: 50, low: 100, repeat: 400 } },
      "PA0..PA8": { steadyAround: ["WR#", "rise"], before: 120, after: 10 },
      "PD0..PD7": { steadyAround: ["WR#", "rise"], before: 60, after: 10 },
      S: { steadyAround: ["WR#", "rise"], before: 160, after: 10 },
    },
    chips: {
      ...Object.fromEntries(numbered(0, 8, (n) => [`B${n}`, [gate("A", "A", 5), `A=PA${n} Y=WA${n}`]])),
      ...Object.fromEntries(numbered(0, 7, (n) => [`E${n}`, [gate("A", "A", 5), `A=PD${n} Y=WD${n}`]])),
      E8: [gate("A B", "A | B", 5), "A=WR# B=S Y=WW#"],
      E9: [gate("A B", "A | !B", 5), "A=WR# B=S Y=TAKE#"],
      E10: [
        known("174", { delay: 10, setUp: 10, hold: 2, width: 10, period: 30 }),
        "CLK=TAKE# CLR#=high 1D..5D=PD0..PD4 6D=PD5 1Q..5Q=ST0..ST4 6Q=PAGE",
      ],
    },
  };
}

/** A bus in step with the board: C0 is its clock, of which a byte is written in the last quarter. Its lines may be swapped. */
export function busProcessor({ swapped = false } = {}): Processor {
  const turn = (bit: number) => (swapped ? 7 - bit : bit);
  return {
    inputs: {
      "PA0..PA7": { after: ["C0", "fall"], from: 10, to: 30 },
      "RW#": { after: ["C0", "fall"], from: 10, to: 30 },
      "SELECT#": { after: ["C0", "fall"], from: 10, to: 90 },
      "PD0..PD7": { after: ["C0", "rise"], from: 0, to: 25 },
    },
    chips: {
      ...Object.fromEntries(
        numbered(0, 7, (bit) => bit).flatMap((bit) => [
          [`B${bit}`, [gate("A", "A", 5), `A=PA${turn(bit)} Y=WA${bit}`]],
          [`E${bit}`, [gate("A", "A", 5), `A=PD${turn(bit)} Y=WD${bit}`]],
        ]),
      ),
      B8: [gate("A B C D", "!A | B | C | D", 5), "A=C0 B=CLK C=RW# D=SELECT# Y=WW#"],
    },
  };
}

/**
 * The same picture, but a ROM says where lines and frames end, where the syncs are and what is seen: columns and lines address it,
 * and a register takes what it says. Its address and data lines may be turned round.
 */
export function syncRomBoard({ swapped = false } = {}): Circuit {
  const turn = <T>(list: readonly T[]): readonly T[] =>
    swapped ? [...list.slice(5), ...list.slice(0, 5)].reverse() : list;
  const address = [...numbered(0, 5, (n) => `C${n}`), ...numbered(0, 9, (n) => `L${n}`)];
  const says = ["H", "V", "SEEN", "LINE_END#", "FRAME_END#"];
  const outs = (swapped ? [...says].reverse() : says).map((net, n) => `O${n}=${net}`).join(" ");
  const count = known("163", { delay: 9, setUp: 10, hold: 0, width: 10, period: 30 });
  const four = (clear: string, enable: string, carry: string, next: string, nets: readonly string[]) =>
    `CLK=CLK CLR#=${clear} LOAD#=high ENP=${enable} ENT=${carry} A..D=low ${["QA", "QB", "QC", "QD"]
      .flatMap((pin, n) => (nets[n] === undefined ? [] : [`${pin}=${nets[n]}`]))
      .join(" ")} RCO=${next}`;
  return buildCircuit({
    title: "Sync from a ROM",
    raster: "640x480@60",
    picture: { hsync: "HSYNC", vsync: "VSYNC", video: "VIDEO", size: [40, 30] },
    inputs: {},
    chips: {
      X1: [oscillator((16 * 1000) / 25.175), "OUT=CLK"],
      U1: [count, four("LINE_END#", "high", "high", "CC", ["C0", "C1", "C2", "C3"])],
      U2: [count, four("LINE_END#", "high", "CC", "NC1", ["C4", "C5"])],
      U3: [count, four("FRAME_END#", "LINE_END", "high", "LC", ["L0", "L1", "L2", "L3"])],
      U4: [count, four("FRAME_END#", "LINE_END", "LC", "LC2", ["L4", "L5", "L6", "L7"])],
      U6: [count, four("FRAME_END#", "LINE_END", "LC2", "NC2", ["L8", "L9"])],
      U7: [gate("A", "!A", 5), "A=LINE_END# Y=LINE_END"],
      U9: [rom(16), `${onto("A", turn(address))} ${outs}`],
      U5: [
        twoPortRam(8),
        `${onto("A", ["C3", "C4", "C5", "L4", "L5", "L6", "L7", "L8"])} ${onto(
          "IO",
          numbered(0, 7, (n) => `D${n}`),
        )} CE#=low WW#=high`,
      ],
      U10: [
        known("151", { delay: 20 }),
        `A=C0 B=C1 C=C2 ${onto(
          "D",
          numbered(0, 7, (n) => `D${n}`),
        )} G#=low Y=DOT`,
      ],
      U11: [gate("A B", "A & B", 7), "A=DOT B=SEEN Y=LIT"],
      U8: [
        known("174", { delay: 15, setUp: 20, hold: 3, width: 20, period: 50 }),
        "CLK=CLK CLR#=high 1D=H 2D=V 3D=LIT 4D..6D=low 1Q=HSYNC 2Q=VSYNC 3Q=VIDEO",
      ],
    },
  });
}
