import type { Memory, Pin } from "../../parts/index.js";
import type { Depth } from "../design.js";
import { type Block, HIGH, LOW, type WrittenChip, bus, chip } from "./board.js";
import type { FamilyParts } from "./families.js";
import type { MemoryEnables } from "./sharing.js";
import { dotNet } from "./video.js";

/** Where the display's address comes from: the nets of its bits, the lowest first. */
export interface AddressPlan {
  readonly bits: readonly string[];
  /** `row * 64 + column`. */
  readonly formula: string;
}

/** Buffers that put the counters on the RAM's address wires in the display's slot. */
export function displayAddressBlock(plan: AddressPlan, addressBits: number, part: string): Block {
  const from = [...plan.bits, ...Array<string>(addressBits - plan.bits.length).fill(LOW)];
  const idle = addressBits - plan.bits.length;
  return {
    title: `Display side of the address: ${plan.formula}`,
    about:
      (idle > 0 ? `The picture fills the lower ${2 ** plan.bits.length} bytes; the address bits above are low. ` : "") +
      "One enable for eight lines, so that DISPLAY# drives few inputs and stays quick.",
    chips: Array.from({ length: Math.ceil(addressBits / 8) }, (_, index) => {
      const [low, used] = [8 * index, Math.min(8, addressBits - 8 * index)];
      return chip(part, `display address, bits ${low} to ${low + used - 1}`, {
        "OE1#": "DISPLAY#",
        "OE2#": LOW,
        [`A[1..${used}]`]: from.slice(low, low + used),
        [`Y[1..${used}]`]: bus("MA", used, low),
      });
    }),
  };
}

/** RAMs, always selected, on the same wires: each drives while its output enable is low, its write enable writes it. */
export function memoryBlock(
  part: string,
  { pins, memory }: { readonly pins: readonly Pin[]; readonly memory: Memory },
  enables: readonly MemoryEnables[],
): Block {
  const { address, data } = memory;
  const own: readonly string[] = [...address, ...data, "OE#", "WE#"];
  const selects = pins.filter(({ name, role }) => role === "input" && !own.includes(name)).map(({ name }) => name);
  return {
    title: "Memory",
    about: "",
    chips: enables.map(({ output, write, note, data: wires }) =>
      chip(part, `${note}, ${2 ** (address.length - 10)}K x 8`, {
        [address.join()]: bus("MA", address.length),
        [data.join()]: bus(wires, data.length),
        ...Object.fromEntries(selects.map((name) => [name, name.endsWith("#") ? LOW : HIGH])),
        "OE#": output,
        "WE#": write,
      }),
    ),
  };
}

const LETTERS = ["A", "B", "C", "D", "E", "F", "G", "H"];

/** How a picture's dots leave the board: their depth, the nets of the byte, and when it is taken. */
export interface DotPlan {
  readonly depth: Depth;
  readonly data: string;
  readonly loadPhase: number;
  /** Whether each shift register has a net of its own that loads it. */
  readonly hasLoadDrivers: boolean;
  readonly parts: FamilyParts;
}

/**
 * Shift registers, one for each bit of a dot. With several bits a dot each of a byte's dots fills several places of every
 * register, so that these are clocked like all else. Eight bits are a dot and shifted nowhere.
 */
export function dotBlock(plan: DotPlan): Block {
  const { depth, loadPhase } = plan;
  if (depth === 8) return registerBlock(plan);
  const places = 8 / (8 / depth);
  const about =
    `TTL inputs, because the memory's high may be 2.4 V. Loads as phase ${loadPhase} ends. ` +
    (depth === 1
      ? "Bit 7 is the leftmost dot. "
      : `Bits 7 to ${8 - depth} are the leftmost dot. Each of ${8 / depth} dots fills ${places} places of each register, which so runs at the clock of a phase and shows it for ${places}. `) +
    "Outside the picture LOAD# stays high and zeros from SER follow the last byte: black in all blanking.";
  return {
    title: depth === 1 ? "Shift register" : `Shift registers: ${depth} bits a dot`,
    about,
    chips: Array.from({ length: depth }, (_, index) => shiftRegister(plan, depth - 1 - index)),
  };
}

function shiftRegister({ depth, data, hasLoadDrivers, parts }: DotPlan, bit: number): WrittenChip {
  // H goes out first; it takes the leftmost dot, which is in the highest bits.
  const inputs = LETTERS.map((_, place) => `${data}${depth * Math.floor(place / depth) + bit}`);
  return chip(parts.shifter, depth === 1 ? "shift register" : `shift register, bit ${bit} of each dot`, {
    CLK: "DOT",
    CLKINH: LOW,
    "CLR#": HIGH,
    "SH/LD#": hasLoadDrivers ? `LOAD${bit}#` : "LOAD#",
    SER: LOW,
    "A, B, C, D, E, F, G, H": inputs,
    QH: dotNet(bit, depth),
  });
}

function registerBlock({ data, depth, loadPhase, parts }: DotPlan): Block {
  return {
    title: "Register of a dot: 8 bits",
    about: `A byte is a dot; it is taken as phase ${loadPhase} ends and shown for a cell. A counter that never counts is a register that can be cleared in step with its clock: CLEAR# comes in place of LOAD# wherever there is no picture, so that all blanking is black. TTL inputs, because the memory's high may be 2.4 V.`,
    chips: [4, 0].map((low) =>
      chip(parts.colourRegister, `register, bits ${low} to ${low + 3} of the dot`, {
        CLK: "DOT",
        "CLR#": "CLEAR#",
        "LOAD#": "LOAD#",
        "ENP, ENT": LOW,
        "A, B, C, D": bus(data, 4, low),
        "Q[A..D]": Array.from({ length: 4 }, (_, bit) => dotNet(low + bit, depth)),
      }),
    ),
  };
}

/** The register of a character's code and the ROM that says what its dots in this row are. */
export function characterBlock(
  rom: string,
  { pins, memory }: { readonly pins: readonly Pin[]; readonly memory: Memory },
  rows: readonly string[],
  codeRegister: string,
  takes: string,
  shown: string,
): Block {
  const romBits = memory.address.length;
  const named = [...memory.address, "CE#", "OE#"];
  // WE#, VPP, PGM#: what writes or programs rests high.
  const further = pins.filter(({ name, role }) => role === "input" && !named.includes(name)).map(({ name }) => name);
  const idle = romBits - rows.length - 8;
  return {
    title: "Characters",
    about:
      `Code and dots take turns: while the ROM looks a character up, a whole cell long, the RAM already gives the next code. ` +
      `The register takes a code ${takes}. The ROM's address is code * ${2 ** rows.length} + row of the character; its bit 7 is the leftmost dot.`,
    chips: [
      chip(codeRegister, "code of the character; TTL inputs behind the RAM", {
        CLK: "TAKE_CODE",
        "OE#": LOW,
        "[1..8]D": bus(shown, 8),
        "[1..8]Q": bus("CODE", 8),
      }),
      chip(rom, "dots of the characters", {
        [`A[0..${romBits - 1}]`]: [...rows, ...bus("CODE", 8), ...Array<string>(idle).fill(LOW)],
        [memory.data.join()]: bus("ROM", 8),
        "CE#, OE#": LOW,
        ...(further.length > 0 && { [further.join()]: HIGH }),
      }),
    ],
  };
}
