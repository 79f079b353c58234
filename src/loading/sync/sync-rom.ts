import type { Chip, NetId, PictureNets } from "../../circuit/index.js";
import { type Raster, fieldsPerFrame, inHertz, lineRate } from "../../raster/index.js";
import { BeamScreen, type Machine, type MachineState, videoNets } from "../../simulation/index.js";
import { memoriesOf, wordsOf } from "../mapping/bit-numbers.js";
import type { NoMap } from "../mapping/screen-map.js";

/** What a ROM must hold for the syncs and the blanking of a raster, as its circuit was found to count. */
export interface SyncRom {
  readonly chip: Chip;
  readonly contents: Uint8Array;
  /** Counts of a line and lines of a frame. */
  readonly columns: number;
  readonly lines: number;
}

/** Counts in which a counter of columns or lines is sure to have gone round. */
const LONG = 2304;
/** Oscillator periods in which a counter goes on at least once. */
const SLOWEST = 256;
/** Counts until what a ROM says has had its way. */
const SETTLE = 64;
/** Counts that are tried for the end of a line, to see how much later it ends. */
const TRIED_END = 5;

/**
 * Makes the contents of a ROM that counters of columns and lines address, by trying what each of its bits does: with the same word
 * everywhere it is seen which bit ends a line, which a frame, which is a sync and which lets the picture be seen; then how the
 * counters go on. The machine is left where it stood, with the contents in the ROM.
 */
export function makeSyncRom(machine: Machine, raster: Raster, rom: Chip): SyncRom | NoMap {
  const { picture } = machine.circuit;
  if (!picture) return { problem: "The circuit does not say which nets are the picture." };
  if (fieldsPerFrame(raster) > 1) return { problem: "Syncs of interlaced rasters are not made." };
  const start = machine.save();
  // Where it is seen all of the picture is lit.
  for (const ram of memoriesOf(machine.circuit).rams) machine.load(ram, new Uint8Array(wordsOf(ram)).fill(0xff));
  const made = new SyncMaker(machine, raster, rom, picture).make();
  machine.restore(start);
  if ("problem" in made) return made;
  machine.load(rom, made.contents);
  return made;
}

interface Seen {
  /** Address lines that moved, as a number; and what they carried in turn, each time another. */
  readonly moved: number;
  readonly addresses: readonly number[];
  readonly levels: readonly [hsync: number, vsync: number, video: number];
}

class SyncMaker {
  readonly #machine: Machine;
  readonly #raster: Raster;
  readonly #rom: Chip;
  readonly #picture: PictureNets;
  readonly #start: MachineState;
  readonly #words: number;
  /** Oscillator periods of a count. */
  #count = 1;

  constructor(machine: Machine, raster: Raster, rom: Chip, picture: PictureNets) {
    this.#machine = machine;
    this.#raster = raster;
    this.#rom = rom;
    this.#picture = picture;
    this.#words = wordsOf(rom);
    this.#start = machine.save();
  }

  make(): SyncRom | NoMap {
    const bits = (this.#rom.part.behaviour.memory?.data ?? []).flatMap((pin, bit) =>
      this.#rom.nets.has(pin) ? [bit] : [],
    );
    this.#count = Math.min(...[0, 0xff].map((word) => this.#periodsOfCount(word)));
    if (this.#count === Infinity) return { problem: `What addresses ${this.#rom.ref} does not count.` };
    const all = new Map(wordsOver(bits).map((word) => [word, this.#see([word])]));
    const moved = (word: number) => all.get(word)?.moved ?? 0;
    const every = [...all.values()].reduce((sum, one) => sum | one.moved, 0);
    // Columns go on while no line ends, lines while every count ends one: two words that differ in one bit.
    for (const word of all.keys()) {
      for (const end of bits) {
        const [columns, lines] = [moved(word), moved(word ^ (1 << end))];
        if (columns === 0 || lines === 0 || (columns & lines) !== 0 || (columns | lines) !== every) continue;
        const made = this.#makeFrom(bits, all, { word, end, columns, lines });
        if (made) return made;
      }
    }
    return { problem: "No bit of the ROM was found that ends a line, and none that ends a frame." };
  }

  #makeFrom(
    bits: readonly number[],
    all: ReadonlyMap<number, Seen>,
    { word, end, columns, lines }: { word: number; end: number; columns: number; lines: number },
  ): SyncRom | undefined {
    const ending = word ^ (1 << end);
    const frameEnd = bits.find((bit) => bit !== end && ((all.get(ending ^ (1 << bit))?.moved ?? 0) & lines) === 0);
    const level = (one: number, which: 0 | 1 | 2) => all.get(one)?.levels[which] ?? 0;
    const decides = (which: 0 | 1 | 2) =>
      bits.find((bit) => bit !== end && bit !== frameEnd && level(word, which) !== level(word ^ (1 << bit), which));
    const [hsync, vsync, seen] = [decides(0), decides(1), decides(2)];
    if (frameEnd === undefined || hsync === undefined || vsync === undefined || seen === undefined) return undefined;
    // What the counters go through from where they are set to on.
    const across = this.#after(ending, word, columns);
    const down = this.#after(ending ^ (1 << frameEnd), ending, lines);
    const { h, v } = this.#raster;
    const cell = this.#count * this.#machine.period;
    const total = Math.round(1e15 / inHertz(lineRate(this.#raster)) / cell);
    const at = (dots: number) => Math.round((dots * total) / h.total);
    const late = this.#lateness(word, end, columns, across);
    if (late === undefined || total > across.length || v.total > down.length) return undefined;
    const bitAs = (base: number, bit: number, is: boolean, which: 0 | 1 | 2, wanted: number) =>
      is === (level(word, which) === wanted) ? base : base ^ (1 << bit);
    const levelOf = (polarity: string, isActive: boolean) => ((polarity === "positive") === isActive ? 1 : 0);
    const make = (shift: number): Uint8Array => {
      const contents = new Uint8Array(this.#words).fill(word);
      const sync = (at(h.active + h.frontPorch + h.borderEachSide) + shift + total) % total;
      const columnOf = new Map(across.map((address, count) => [address, count]));
      const lineOf = new Map(down.map((address, count) => [address, count]));
      for (let address = 0; address < this.#words; address++) {
        const [column, line] = [columnOf.get(address & columns), lineOf.get(address & lines)];
        if (column === undefined || line === undefined) continue;
        const isIn = (from: number, count: number, place: number, round: number) =>
          (place - from + round) % round < count;
        const isLast = column === total - 1 - late;
        let made = isLast ? ending : word;
        if (isLast && line === v.total - 1) made ^= 1 << frameEnd;
        const isSync = isIn(sync, at(h.sync), column, total);
        const isFrame = isIn(v.active + v.frontPorch + v.borderEachSide, v.sync, line, v.total);
        const isLit = column < at(h.active) && line < v.active;
        made = bitAs(made, hsync, true, 0, levelOf(h.polarity, isSync));
        made = bitAs(made, vsync, true, 1, levelOf(v.polarity, isFrame));
        made = bitAs(made, seen, true, 2, isLit ? 1 : 0);
        contents[address] = made;
      }
      return contents;
    };
    for (const shift of [0, 1, -1, 2, -2, 3]) {
      const contents = make(shift);
      if (this.#meets(contents)) return { chip: this.#rom, contents, columns: total, lines: v.total };
    }
    return undefined;
  }

  /** Whether a monitor finds the raster, with the picture in its place. */
  #meets(contents: Uint8Array): boolean {
    const machine = this.#machine;
    machine.restore(this.#start);
    machine.load(this.#rom, contents);
    const screen = new BeamScreen(machine, this.#picture, {
      raster: this.#raster,
      pixel: this.#raster.h.active / this.#picture.width,
    });
    screen.runFrame();
    screen.runFrame();
    const shown = screen.runFrame();
    machine.restore(this.#start);
    if (!shown.locked || !shown.lit || !shown.against.meets) return false;
    const { dots, rows } = shown.displacement;
    return Math.abs(dots) < 1 && rows === 0;
  }

  /** Runs with these words one after the other all over the ROM, a while with each; what was seen with the last. */
  #see(words: readonly number[], contents?: Uint8Array): Seen {
    const machine = this.#machine;
    machine.restore(this.#start);
    for (const word of words.slice(0, -1)) {
      machine.load(this.#rom, new Uint8Array(this.#words).fill(word));
      machine.run(machine.now + SETTLE * this.#count * machine.period);
    }
    machine.load(this.#rom, contents ?? new Uint8Array(this.#words).fill(words.at(-1) ?? 0));
    const addresses: number[] = [this.#address()];
    for (let count = 0; count < LONG; count++) {
      machine.run(machine.now + this.#count * machine.period);
      const address = this.#address();
      if (address !== addresses.at(-1)) addresses.push(address);
    }
    // What was before the ROM's word had its way does not count.
    const settled = addresses.length > 8 ? addresses.slice(4) : addresses.slice(-1);
    const moved = settled.reduce((sum, address) => sum | (address ^ (settled[0] ?? 0)), 0);
    const level = (net: NetId | undefined) => (net !== undefined && machine.valueOf(net) === 1 ? 1 : 0);
    const [video] = videoNets(this.#picture);
    return {
      moved,
      addresses,
      levels: [level(this.#picture.hsync), level(this.#picture.vsync), level(video)],
    };
  }

  #address(): number {
    const pins = this.#rom.part.behaviour.memory?.address ?? [];
    return pins.reduce((sum, pin, bit) => {
      const net = this.#rom.nets.get(pin);
      const isHigh = net && (net.rail ? net.rail === "high" : this.#machine.valueOf(net.id) === 1);
      return sum + (isHigh ? 2 ** bit : 0);
    }, 0);
  }

  /** What some address lines go through with a word, after another one held them; until they come round. */
  #after(held: number, word: number, lines: number): readonly number[] {
    const { addresses } = this.#see([held, word]);
    const found: number[] = [];
    for (const address of addresses) {
      const part = address & lines;
      if (found.includes(part)) {
        if (part === found[0] && found.length > 1) break;
        continue;
      }
      found.push(part);
    }
    return found;
  }

  /** Oscillator periods from one address to the next, with one word all over the ROM. */
  #periodsOfCount(word: number): number {
    const machine = this.#machine;
    machine.restore(this.#start);
    machine.load(this.#rom, new Uint8Array(this.#words).fill(word));
    let [before, since, least] = [this.#address(), Infinity, Infinity];
    for (let period = 0; period < 4 * SLOWEST; period++) {
      machine.run(machine.now + machine.period);
      const address = this.#address();
      since++;
      if (address === before) continue;
      [before, least, since] = [address, Math.min(least, since), 0];
    }
    return least;
  }

  /** Counts by which a line ends later than the one at which the ROM says so. */
  #lateness(word: number, end: number, columns: number, across: readonly number[]): number | undefined {
    const place = across[TRIED_END];
    if (place === undefined) return undefined;
    const contents = new Uint8Array(this.#words).fill(word);
    for (let address = 0; address < this.#words; address++) {
      if ((address & columns) === place) contents[address] = word ^ (1 << end);
    }
    const { addresses } = this.#see([word ^ (1 << end), word], contents);
    const parts = addresses.map((address) => address & columns);
    const begins = parts.flatMap((part, index) => (index > 0 && part === across[0] ? [index] : []));
    const [first, second] = begins.slice(-2);
    if (first === undefined || second === undefined) return undefined;
    return second - first - (TRIED_END + 1);
  }
}

/** Every word that is made of these bits. */
function wordsOver(bits: readonly number[]): readonly number[] {
  return Array.from({ length: 2 ** bits.length }, (_, choice) =>
    bits.reduce((word, bit, index) => word | (((choice >> index) & 1) << bit), 0),
  );
}
