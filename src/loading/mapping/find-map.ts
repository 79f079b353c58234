import type { Chip, Circuit } from "../../circuit/index.js";
import type { Raster } from "../../raster/index.js";
import { type Machine, randomStream } from "../../simulation/index.js";
import {
  type Contents,
  type NumberedMemory,
  bitCount,
  fillBits,
  memoriesOf,
  numberBits,
  randomContents,
} from "./bit-numbers.js";
import { type Levels, PatternFrames, differs } from "./frames.js";
import { type NetDots, type NoMap, type ScreenMap, foretell } from "./screen-map.js";

/** Frames with random contents that each dot is held against: a dot that is foretold by luck passes one in 2^8. */
const TRIALS = 8;

/**
 * Finds what every dot of the picture shows, by trying: nothing is known of the wiring but which chips are memories. Every bit
 * has a number, and one frame is shown for each binary digit of the numbers, with every bit as that digit of its own number; a
 * dot that one bit decides spells the number. Dots behind a ROM are asked for the ROM's bit with the RAMs low, and then, with
 * each ROM holding one of its own address bits, for the RAM bit on that address line. What comes out is held against frames with
 * random contents. The machine stands where its circuit goes round, and is left as it was.
 */
export function findScreenMap(
  circuit: Circuit,
  machine: Machine,
  raster: Raster,
  onProgress: (done: number, total: number) => void = () => undefined,
): ScreenMap | NoMap {
  const { picture } = circuit;
  if (!picture) return { problem: "The circuit does not say which nets are the picture." };
  const chips = memoriesOf(circuit);
  if (chips.rams.length + chips.roms.length === 0) return { problem: "The circuit has no memory." };
  const [rams, roms] = [numberBits(chips.rams), numberBits(chips.roms)];
  const all = (level: 0 | 1) => new Map([...fillBits(rams, () => level), ...fillBits(roms, () => level)]);
  const frames = PatternFrames.begin(machine, picture, raster, [all(1), all(0)]);
  if ("problem" in frames) return frames;
  const search = new Search(frames, rams, roms, onProgress);
  const nets = search.find();
  const found = search.check(nets);
  const { width, height, video } = picture;
  const depth =
    video.kind === "mono"
      ? { kind: "mono" as const }
      : {
          kind: "colour" as const,
          red: video.red.length,
          green: video.green.length,
          blue: video.blue.length,
        };
  const { displacement } = frames;
  return { width, height, depth, displacement, rams, roms, nets, found };
}

class Search {
  readonly #frames: PatternFrames;
  readonly #rams: readonly NumberedMemory[];
  readonly #roms: readonly NumberedMemory[];
  readonly #low: { readonly rams: Contents; readonly roms: Contents };
  readonly #onProgress: (done: number, total: number) => void;
  #shown = 0;

  constructor(
    frames: PatternFrames,
    rams: readonly NumberedMemory[],
    roms: readonly NumberedMemory[],
    onProgress: (done: number, total: number) => void,
  ) {
    this.#frames = frames;
    this.#rams = rams;
    this.#roms = roms;
    this.#low = { rams: fillBits(rams, () => 0), roms: fillBits(roms, () => 0) };
    this.#onProgress = onProgress;
  }

  find(): readonly NetDots[] {
    const { rams: ramLow, roms: romLow } = this.#low;
    const dark = this.#show(ramLow, romLow);
    const byRam = this.#spell(this.#rams, dark, (contents) => this.#show(contents, romLow));
    const romHigh = fillBits(this.#roms, () => 1);
    const throughRom = this.#roms.length === 0 ? dark : this.#show(ramLow, romHigh);
    const hasRom = differs(dark, throughRom);
    const byRom = hasRom ? this.#spell(this.#roms, dark, (contents) => this.#show(ramLow, contents)) : undefined;
    const lines = hasRom ? this.#lines(byRam) : [];
    const nets = new Map<Uint16Array, NetDots>();
    return dark.map((levels, net) => {
      const known = nets.get(levels);
      if (known) return known;
      const dots: NetDots = {
        level: Uint8Array.from(levels),
        ram: byRam[net] ?? none(levels.length),
        rom: byRom?.[net] ?? none(levels.length),
        lines: lines.map(({ line, byNet }) => ({ line, ram: byNet[net] ?? none(levels.length) })),
        known: new Uint8Array(levels.length),
      };
      nets.set(levels, dots);
      return dots;
    });
  }

  /** Compares what is foretold with random contents with what is shown; the share of dots that a memory decides and that agree. */
  check(nets: readonly NetDots[]): number {
    const different = new Set(nets);
    for (const net of different) net.known.fill(1);
    for (let trial = 0; trial < TRIALS; trial++) {
      const random = randomStream("contents to foretell", trial + 1);
      const [rams, roms] = [randomContents(this.#rams, random), randomContents(this.#roms, random)];
      const shown = this.#show(rams, roms);
      const contents = new Map([...rams, ...roms]);
      for (const net of different) {
        const levels = shown[nets.indexOf(net)];
        const foretold = foretell({ rams: this.#rams, roms: this.#roms }, net, contents);
        for (let dot = 0; dot < foretold.length; dot++) if (levels?.[dot] !== foretold[dot]) net.known[dot] = 0;
      }
    }
    let [dots, decided] = [0, 0];
    for (const { known, ram, rom } of different) {
      dots += known.length;
      for (let dot = 0; dot < known.length; dot++) {
        if (known[dot] === 1 && ((ram[dot] as number) >= 0 || (rom[dot] as number) >= 0)) decided++;
      }
    }
    return dots === 0 ? 0 : decided / dots;
  }

  /** The RAM bits on the address lines of the ROMs, where RAM bits turn the dots over by `direct` as well. */
  #lines(direct: readonly Int32Array[]): readonly { readonly line: number; readonly byNet: readonly Int32Array[] }[] {
    const lineCount = Math.max(0, ...this.#roms.map(({ words }) => Math.log2(words)));
    const found: { line: number; byNet: readonly Int32Array[] }[] = [];
    for (let line = 0; line < lineCount; line++) {
      const roms = fillBits(this.#roms, (number) => lineOf(this.#roms, number, line));
      const show = (rams: Contents) => {
        const levels = this.#show(rams, roms);
        const bits = this.#ramBits(rams);
        return turned(levels, (net, dot) => {
          const number = direct[net]?.[dot] ?? -1;
          return number >= 0 ? (bits[number] ?? 0) : 0;
        });
      };
      const dark = show(this.#low.rams);
      const known = found.at(-1);
      const byNet =
        (known && this.#likeLine(known.byNet, dark, show)) ?? this.#spell(this.#rams, dark, (rams) => show(rams));
      if (byNet.some((numbers) => numbers.some((number) => number >= 0))) found.push({ line, byNet });
    }
    return found;
  }

  /**
   * Address lines of a ROM mostly come from bits of the same word, as those of a character's code. Asks which bit of the word
   * known from another line it is; nothing where random contents show that it is not so.
   */
  #likeLine(
    known: readonly Int32Array[],
    dark: Levels,
    show: (rams: Contents) => Levels,
  ): readonly Int32Array[] | undefined {
    const width = this.#rams[0]?.width ?? 1;
    if (this.#rams.some((one) => one.width !== width)) return undefined;
    const digits = Math.ceil(Math.log2(width));
    const lit = show(fillBits(this.#rams, () => 1));
    const seen = Array.from({ length: digits }, (_, digit) =>
      show(fillBits(this.#rams, (number) => ((number % width) >> digit) & 1)),
    );
    const guess = known.map((numbers, net) =>
      numbers.map((number, dot) => {
        const first = dark[net]?.[dot];
        if (number < 0 || first === lit[net]?.[dot]) return -1;
        const bit = seen.reduce((sum, levels, digit) => (levels[net]?.[dot] === first ? sum : sum + 2 ** digit), 0);
        return number - (number % width) + bit;
      }),
    );
    const trial = randomContents(this.#rams, randomStream("contents of one line", 1));
    const [levels, bits] = [show(trial), this.#ramBits(trial)];
    const agrees = guess.every((numbers, net) =>
      numbers.every((number, dot) => {
        const turns = number >= 0 ? (bits[number] ?? 0) : 0;
        return levels[net]?.[dot] === ((dark[net]?.[dot] ?? 0) ^ turns);
      }),
    );
    return agrees ? guess : undefined;
  }

  /** Of each dot the number of the one bit that turns it over, -1 where none does. */
  #spell(
    memories: readonly NumberedMemory[],
    dark: Levels,
    show: (contents: Contents) => Levels,
  ): readonly Int32Array[] {
    if (memories.length === 0) return dark.map((levels) => none(levels.length));
    const lit = show(fillBits(memories, () => 1));
    const isTurned = dark.map((levels, net) => levels.map((level, dot) => (level === lit[net]?.[dot] ? 0 : 1)));
    const numbers = dark.map((levels) => none(levels.length));
    if (!isTurned.some((net) => net.includes(1))) return numbers;
    isTurned.forEach((net, index) => net.forEach((turns, dot) => ((numbers[index] as Int32Array)[dot] = turns - 1)));
    const count = bitCount(memories);
    for (let digit = 0; 2 ** digit < count; digit++) {
      const scale = 2 ** digit;
      const levels = show(fillBits(memories, (number) => Math.floor(number / scale) & 1));
      levels.forEach((net, index) => {
        const [spelled, first] = [numbers[index], dark[index]];
        if (!spelled || !first) return;
        for (let dot = 0; dot < net.length; dot++) {
          const number = spelled[dot] as number;
          if (number >= 0 && net[dot] !== first[dot]) spelled[dot] = number + scale;
        }
      });
    }
    return numbers.map((net) => net.map((number) => (number < count ? number : -1)));
  }

  #ramBits(contents: Contents): Uint8Array {
    const bits = new Uint8Array(bitCount(this.#rams));
    for (const { chip, first, words, width } of this.#rams) {
      const bytes = contents.get(chip);
      if (!bytes) continue;
      for (let at = 0; at < words * width; at++)
        bits[first + at] = ((bytes[Math.floor(at / width)] ?? 0) >> (at % width)) & 1;
    }
    return bits;
  }

  #show(rams: Contents, roms: Contents): Levels {
    // Some forty frames are enough where every dot is one bit; a character generator takes more.
    this.#onProgress(++this.#shown, Math.max(this.#shown + 1, 40));
    return this.#frames.show(new Map<Chip, Uint8Array>([...rams, ...roms]));
  }
}

function none(length: number): Int32Array {
  return new Int32Array(length).fill(-1);
}

/** Levels, each turned over where `by` is 1; nets that are one stay one. */
function turned(levels: Levels, by: (net: number, dot: number) => number): Levels {
  const done = new Map<Uint16Array, Uint16Array>();
  return levels.map((net, index) => {
    const known = done.get(net);
    if (known) return known;
    const result = net.map((level, dot) => level ^ by(index, dot));
    done.set(net, result);
    return result;
  });
}

function lineOf(roms: readonly NumberedMemory[], number: number, line: number): number {
  const rom = roms.find(({ first, words, width }) => number >= first && number < first + words * width);
  return rom ? (Math.floor((number - rom.first) / rom.width) >> line) & 1 : 0;
}
