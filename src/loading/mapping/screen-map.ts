import type { Chip } from "../../circuit/index.js";
import { type Depth, type Displacement, type Picture, blackPicture } from "../../raster/index.js";
import { type Contents, type NumberedMemory, bitsOf } from "./bit-numbers.js";

/**
 * What every dot of the picture shows, as the circuit was found to behave. A dot's level is that with all memories low, turned
 * over by at most one bit of a RAM, and by at most one bit of a ROM whose address bits of RAMs choose: a character generator.
 */
export interface ScreenMap {
  /** Dots and rows of the picture in memory. */
  readonly width: number;
  readonly height: number;
  readonly depth: Depth;
  /** Where the whole picture stands on the raster. */
  readonly displacement: Displacement;
  /** The memories that the processor can fill, and those that it cannot. */
  readonly rams: readonly NumberedMemory[];
  readonly roms: readonly NumberedMemory[];
  /** One of each bit of a dot, most significant first; the same object where they come from one net. */
  readonly nets: readonly NetDots[];
  /** Share of the dots (of all nets) whose level was foretold rightly with random contents, and which a memory decides. */
  readonly found: number;
}

/** What the dots of one video net show, row by row. */
export interface NetDots {
  /** With all bits of all memories low. */
  readonly level: Uint8Array;
  /** Number of the RAM bit that turns the dot over; -1 where none does. */
  readonly ram: Int32Array;
  /** Number of the ROM bit that turns it over while all RAM bits are low; -1 where none does. */
  readonly rom: Int32Array;
  /** Address lines of the ROM that RAM bits turn over. */
  readonly lines: readonly RomLine[];
  /** 1 where the dot was foretold rightly. */
  readonly known: Uint8Array;
}

/** One address line of the ROMs: 0 for A0. Of each dot the RAM bit that turns it over, -1 where none does. */
export interface RomLine {
  readonly line: number;
  readonly ram: Int32Array;
}

/** Why a circuit has no map, in a sentence. */
export interface NoMap {
  readonly problem: string;
}

/** The levels of one net's dots with these contents. */
export function foretell(map: Pick<ScreenMap, "rams" | "roms">, net: NetDots, contents: Contents): Uint8Array {
  const [ram, rom] = [bitsOf(map.rams, contents), bitsOf(map.roms, contents)];
  const levels = new Uint8Array(net.level.length);
  for (let dot = 0; dot < levels.length; dot++) {
    let level = net.level[dot] as number;
    const direct = net.ram[dot] as number;
    if (direct >= 0) level ^= ram[direct] as number;
    const number = romBitAt(map, net, dot, ram);
    if (number >= 0) level ^= rom[number] as number;
    levels[dot] = level;
  }
  return levels;
}

/** Number of the ROM bit that a dot shows while the RAMs hold these bits; -1 where it shows none. */
export function romBitAt({ roms }: Pick<ScreenMap, "roms">, net: NetDots, dot: number, ram: Uint8Array): number {
  const number = net.rom[dot] as number;
  if (number < 0 || net.lines.length === 0) return number;
  const rom = memoryOf(roms, number);
  if (!rom) return number;
  let word = Math.floor((number - rom.first) / rom.width);
  for (const { line, ram: bits } of net.lines) {
    const bit = bits[dot] as number;
    if (bit >= 0 && ram[bit] === 1) word ^= 1 << line;
  }
  return rom.first + (word % rom.words) * rom.width + ((number - rom.first) % rom.width);
}

export function memoryOf(memories: readonly NumberedMemory[], number: number): NumberedMemory | undefined {
  return memories.length === 1
    ? memories[0]
    : memories.find(({ first, words, width }) => number >= first && number < first + words * width);
}

/** The picture that a map says the circuit shows with these contents. */
export function foretellPicture(map: ScreenMap, contents: Contents): Picture {
  const picture = blackPicture(map.width, map.height, map.depth);
  const seen = new Map<NetDots, Uint8Array>();
  map.nets.forEach((net, index) => {
    const levels = seen.get(net) ?? foretell(map, net, contents);
    seen.set(net, levels);
    const weight = 1 << (map.nets.length - 1 - index);
    for (let dot = 0; dot < levels.length; dot++) {
      if (levels[dot] === 1) picture.dots[dot] = (picture.dots[dot] as number) | weight;
    }
  });
  return picture;
}

/** RAMs and ROMs that decide at least one dot. */
export function shownMemories(map: ScreenMap): readonly Chip[] {
  const shown = new Set<Chip>();
  const look = (memories: readonly NumberedMemory[], numbers: Int32Array) => {
    for (const one of memories) {
      const end = one.first + one.words * one.width;
      if (!shown.has(one.chip) && numbers.some((number) => number >= one.first && number < end)) shown.add(one.chip);
    }
  };
  for (const net of new Set(map.nets)) {
    look(map.rams, net.ram);
    look(map.roms, net.rom);
    for (const { ram } of net.lines) look(map.rams, ram);
  }
  return [...shown];
}

/** Of each memory, 1 at every word of which a dot shows a bit; a dot of the rows from one up to before another, if they are given. */
export function neededWords(
  { rams, roms, nets, width, height }: ScreenMap,
  [top, bottom]: readonly [number, number] = [0, height],
): Map<Chip, Uint8Array> {
  const needed = new Map([...rams, ...roms].map(({ chip, words }) => [chip, new Uint8Array(words)]));
  const look = (memories: readonly NumberedMemory[], numbers: Int32Array) => {
    for (let dot = top * width; dot < bottom * width; dot++) {
      const number = numbers[dot] as number;
      const one = number < 0 ? undefined : memoryOf(memories, number);
      const words = one && needed.get(one.chip);
      if (one && words) words[Math.floor((number - one.first) / one.width)] = 1;
    }
  };
  for (const net of new Set(nets)) {
    look(rams, net.ram);
    for (const { ram } of net.lines) look(rams, ram);
    // Which words of a ROM are shown hangs on what the RAMs hold: any may be.
    for (const { chip } of net.rom.some((number) => number >= 0) ? roms : []) needed.get(chip)?.fill(1);
  }
  return needed;
}
