import type { Memory, Pin } from "../../parts/index.js";
import { type Block, HIGH, LOW, bus, chip } from "./board.js";

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

/** The RAM, always selected: it drives while its enable is low, WE# writes it. */
export function memoryBlock(
  part: string,
  { pins, memory }: { readonly pins: readonly Pin[]; readonly memory: Memory },
  enable: string,
): Block {
  const { address, data } = memory;
  const own: readonly string[] = [...address, ...data, "OE#", "WE#"];
  const selects = pins.filter(({ name, role }) => role === "input" && !own.includes(name)).map(({ name }) => name);
  return {
    title: "Memory",
    about: "",
    chips: [
      chip(part, `picture memory, ${2 ** (address.length - 10)}K x 8`, {
        [address.join()]: bus("MA", address.length),
        [data.join()]: bus("MD", data.length),
        ...Object.fromEntries(selects.map((name) => [name, name.endsWith("#") ? LOW : HIGH])),
        "OE#": enable,
        "WE#": "WE#",
      }),
    ],
  };
}

const LETTERS = ["A", "B", "C", "D", "E", "F", "G", "H"];

/**
 * Shift registers, one for each bit of a dot. With two bits a dot each of a byte's four dots fills two places of either
 * register, so that these are clocked like all else.
 */
export function shiftBlock(part: string, data: string, bitsPerDot: 1 | 2, loads: string): Block {
  const register = (bit: number) => {
    // H goes out first; it takes the leftmost dot, which is in the highest bits.
    const inputs = LETTERS.map((_, place) =>
      bitsPerDot === 1 ? `${data}${place}` : `${data}${2 * Math.floor(place / 2) + bit}`,
    );
    const note = bitsPerDot === 1 ? "shift register" : `shift register, ${bit === 1 ? "high" : "low"} bit of each dot`;
    return chip(part, note, {
      CLK: "DOT",
      CLKINH: LOW,
      "CLR#": "high",
      "SH/LD#": "LOAD#",
      SER: LOW,
      "A, B, C, D, E, F, G, H": inputs,
      QH: bitsPerDot === 1 ? "DOTS" : `DOTS${bit}`,
    });
  };
  return {
    title: bitsPerDot === 1 ? "Shift register" : "Shift registers: two bits a dot",
    about:
      `TTL inputs, because the memory's high may be 2.4 V. ${loads} ` +
      (bitsPerDot === 1
        ? "Bit 7 is the leftmost dot. "
        : "Bits 7 and 6 are the leftmost dot. Each of four dots fills two places of either register, which so runs at the clock of a phase and shows it for two. ") +
      "Outside the picture LOAD# stays high and zeros from SER follow the last byte: black in all blanking.",
    chips: bitsPerDot === 1 ? [register(0)] : [register(1), register(0)],
  };
}

/** The register of a character's code and the ROM that says what its dots in this row are. */
export function characterBlock(
  rom: string,
  { pins, memory }: { readonly pins: readonly Pin[]; readonly memory: Memory },
  rows: readonly string[],
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
      `The register takes a code in the middle of phase 2. The ROM's address is code * ${2 ** rows.length} + row of the character; its bit 7 is the leftmost dot.`,
    chips: [
      chip("74HCT574", "code of the character; TTL inputs behind the RAM", {
        CLK: "TAKE_CODE",
        "OE#": LOW,
        "[1..8]D": bus("MD", 8),
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
