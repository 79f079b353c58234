import type { Chip, Circuit } from "../../circuit/circuit.js";
import { longFs } from "../../quantity/index.js";
import { type Raster, scanFrame, watch } from "../../raster/index.js";
import { forEachDot } from "../dots.js";
import type { DotPlaces, MemoryLayout, NoLayout } from "../layout.js";
import { type ScreenRecord, recordScreen, signalOf } from "../screen.js";
import type { Tape } from "../tape.js";
import { HIGH, VALUE } from "../value.js";
import type { Machine } from "./machine.js";
import { MachineScreen } from "./machine-screen.js";

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
  const show = (bitOf: (number: number) => 0 | 1): ScreenRecord => {
    machine.restore(start);
    for (const one of numbers) machine.load(one.chip, contentsFor(one, bitOf));
    return recordScreen(new MachineScreen(machine), picture, { raster, frames: 1, from: longFs(machine.now) });
  };

  // 1. All bits low, and all high: where the picture stands, and which dots the memory decides.
  const [dark, lit] = [show(() => 0), show(() => 1)];
  const pixel = raster.h.active / picture.width;
  const monitors = [lit, dark].map((record) => watch(signalOf(record, picture).signal, { raster, pixel }));
  const monitor = monitors.find((one) => one.locked && one.lit) ?? monitors[0];
  if (!monitor?.locked) {
    machine.restore(start);
    return { problem: `A monitor would not lock: ${monitor?.detail ?? ""}` };
  }
  const times: number[] = [];
  forEachDot(scanFrame(monitor.lock, raster, 0), monitor.displacement, picture, (x, y, time) => {
    times[y * picture.width + x] = time;
  });
  const seen = (record: ScreenRecord) => record.video.map((tape) => levelsAt(tape, times));
  const [low, high] = [seen(dark), seen(lit)];

  // 2. Digit by digit.
  const last = numbers.at(-1);
  const digits = Math.ceil(Math.log2(last ? last.first + last.words * last.width : 1));
  const spelled = low.map((net) => new Float64Array(net.length));
  const isSingle = low.map((net, n) => net.map((level, dot) => (level === high[n]?.[dot] ? 0 : 1)));
  for (let digit = 0; digit < digits; digit++) {
    const digitOf = (number: number) => (Math.floor(number / 2 ** digit) % 2) as 0 | 1;
    const [plain, turned] = [seen(show(digitOf)), seen(show((number) => (digitOf(number) === 1 ? 0 : 1)))];
    spelled.forEach((net, n) => {
      const single = isSingle[n];
      for (let dot = 0; dot < net.length; dot++) {
        const [one, other] = [plain[n]?.[dot] ?? 0, turned[n]?.[dot] ?? 0];
        if (one === other && single) single[dot] = 0;
        if (one !== (low[n]?.[dot] ?? 0)) net[dot] = (net[dot] ?? 0) + 2 ** digit;
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

/** The levels of a net at times that never fall; an unknown level is low. */
function levelsAt({ first, timesFs, values }: Tape, times: readonly number[]): Uint8Array {
  const levels = new Uint8Array(times.length);
  let change = -1;
  for (let index = 0; index < times.length; index++) {
    const time = times[index] as number;
    while (change + 1 < timesFs.length && (timesFs[change + 1] as number) <= time) change++;
    levels[index] = (change < 0 ? first & VALUE : values[change]) === HIGH ? 1 : 0;
  }
  return levels;
}

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

function contentsFor({ words, width, first }: Numbered, bitOf: (number: number) => 0 | 1): Uint8Array {
  return Uint8Array.from({ length: words }, (_, word) => {
    let byte = 0;
    for (let bit = 0; bit < width; bit++) byte |= bitOf(first + word * width + bit) << bit;
    return byte;
  });
}
