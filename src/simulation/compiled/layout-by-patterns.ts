import type { Chip, Circuit } from "../../circuit/circuit.js";
import { type Displacement, type Raster, type Scan, scanFrame } from "../../raster/index.js";
import { type PictureSize, forEachRow } from "../dots.js";
import type { DotPlaces, MemoryLayout, NoLayout } from "../layout.js";
import { videoNets } from "../screen.js";
import { BeamScreen } from "./beam-screen.js";
import type { LevelReader } from "./level-reader.js";
import type { Machine } from "./machine.js";

/**
 * Finds which bit of which memory each dot shows by trying: every bit has a number, and one frame is shown for each binary
 * digit of the numbers, with every bit as that digit of its own number, and one with every bit turned over. A dot that one bit
 * decides spells its number. The machine stands where its circuit has come out of reset and goes round; it is left as it was.
 */
export function layoutByPatterns(circuit: Circuit, machine: Machine, raster: Raster): MemoryLayout | NoLayout {
  const { picture } = circuit;
  if (!picture) return { problem: "The circuit does not say which nets are the picture." };
  const memories = circuit.chips.filter(({ part }) => part.behaviour.memory);
  if (memories.length === 0) return { problem: "The circuit has no memory." };
  const start = machine.save();
  const numbers = numberBits(memories);
  const fill = (digit: Digit) => {
    machine.restore(start);
    for (const one of numbers) machine.load(one.chip, contentsFor(one, digit));
  };

  // 1. All bits low, and all high: where the picture stands, and which dots the memory decides.
  const settings = { raster, pixel: raster.h.active / picture.width };
  const monitors = (["all high", "all low"] as const).map((digit) => {
    fill(digit);
    return new BeamScreen(machine, picture, settings).runFrame();
  });
  const until = machine.now;
  const monitor = monitors.find((one) => one.locked && one.lit) ?? monitors[0];
  if (!monitor?.locked) {
    machine.restore(start);
    return { problem: `A monitor would not lock: ${monitor?.detail ?? ""}` };
  }
  const scan = scanFrame(monitor.lock, raster, 0);
  const seen = (digit: Digit): readonly Uint16Array[] => {
    fill(digit);
    const recording = machine.record();
    machine.run(until);
    return videoNets(picture).map((net) => levelsOfDots(recording.reader(net), scan, monitor.displacement, picture));
  };
  const [low, high] = [seen("all low"), seen("all high")];

  // 2. Digit by digit.
  const last = numbers.at(-1);
  const digits = Math.ceil(Math.log2(last ? last.first + last.words * last.width : 1));
  const spelled = low.map((net) => new Float64Array(net.length));
  const isSingle = low.map((net, n) => net.map((level, dot) => (level === high[n]?.[dot] ? 0 : 1)));
  for (let digit = 0; digit < digits; digit++) {
    const [plain, turned] = [seen({ digit, turned: 0 }), seen({ digit, turned: 1 })];
    spelled.forEach((net, n) => {
      const [one, other, dark, single] = [plain[n], turned[n], low[n], isSingle[n]];
      if (!one || !other || !dark || !single) return;
      for (let dot = 0; dot < net.length; dot++) {
        if (one[dot] === other[dot]) single[dot] = 0;
        if (one[dot] !== dark[dot]) net[dot] = (net[dot] as number) + 2 ** digit;
      }
    });
  }
  machine.restore(start);

  // 3. Numbers to places.
  let found = 0;
  const nets = spelled.map((net, n): DotPlaces => {
    const places = {
      memory: new Int32Array(net.length).fill(-1),
      address: new Int32Array(net.length),
      bit: new Int32Array(net.length),
      inverted: new Uint8Array(net.length),
    };
    net.forEach((number, dot) => {
      const memory = numbers.filter(({ first }) => first <= number).length - 1;
      const one = numbers[memory];
      if (!one || isSingle[n]?.[dot] !== 1) return;
      places.memory[dot] = memory;
      places.address[dot] = Math.floor((number - one.first) / one.width);
      places.bit[dot] = (number - one.first) % one.width;
      places.inverted[dot] = low[n]?.[dot] ?? 0;
      found++;
    });
    return places;
  });
  const { width, height } = picture;
  return { width, height, memories, nets, found: found / (width * height * nets.length) };
}

/** The level of a net in the middle of each dot. */
function levelsOfDots(reader: LevelReader, scan: Scan, displacement: Displacement, size: PictureSize): Uint16Array {
  const levels = new Uint16Array(size.width * size.height);
  forEachRow(scan, displacement, size, (y, time, step) => {
    reader.addLevels(time, step, size.width, levels, y * size.width, 1);
  });
  return levels;
}

/** What every bit of every memory is filled with: a binary digit of its number, turned over or not. */
type Digit = "all low" | "all high" | { readonly digit: number; readonly turned: 0 | 1 };

/** A memory, and the number of its bit 0 of word 0. */
interface Numbered {
  readonly chip: Chip;
  readonly words: number;
  readonly width: number;
  readonly first: number;
}

function numberBits(memories: readonly Chip[]): readonly Numbered[] {
  let first = 0;
  return memories.flatMap((chip): Numbered[] => {
    const { memory } = chip.part.behaviour;
    if (!memory) return [];
    const one = { chip, words: 2 ** memory.address.length, width: memory.data.length, first };
    first += one.words * one.width;
    return [one];
  });
}

function contentsFor({ words, width, first }: Numbered, digit: Digit): Uint8Array {
  const bytes = new Uint8Array(words);
  if (digit === "all low") return bytes;
  const all = 2 ** width - 1;
  if (digit === "all high") return bytes.fill(all);
  const scale = 2 ** digit.digit;
  for (let word = 0; word < words; word++) {
    let byte = 0;
    for (let bit = 0; bit < width; bit++) byte |= (Math.floor((first + word * width + bit) / scale) & 1) << bit;
    bytes[word] = digit.turned === 1 ? byte ^ all : byte;
  }
  return bytes;
}
