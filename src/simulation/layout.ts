import type { Chip, Circuit } from "../circuit/circuit.js";
import { type Picture, type Raster, scanFrame, watch } from "../raster/index.js";
import { powerUpBoard } from "./board.js";
import { forEachDot } from "./dots.js";
import { randomBytes } from "./random.js";
import { recordScreen, signalOf } from "./screen.js";
import type { Tables } from "./tables.js";

/** Which bit of which memory each dot of the picture shows, as the circuit is wired. */
export interface MemoryLayout {
  /** Dots and rows of the picture in memory. */
  readonly width: number;
  readonly height: number;
  /** Memories by number, in the order of the circuit's chips. */
  readonly memories: readonly Chip[];
  /** Of each video net, as `videoNets` lists them: the place of every dot, row by row. */
  readonly nets: readonly DotPlaces[];
  /** Share of the dots (of all video nets) that were found, 0 to 1. */
  readonly found: number;
}

/** Of each dot, row by row, where it lies. */
export interface DotPlaces {
  /** Number of the memory, -1 where no single bit decides the dot. */
  readonly memory: Int32Array;
  readonly address: Int32Array;
  readonly bit: Int32Array;
  /** 1 where the dot shows the bit turned over. */
  readonly inverted: Uint8Array;
}

/** Why a circuit has no layout. */
export interface NoLayout {
  readonly problem: string;
}

/**
 * Finds the layout by asking the simulation: one frame with random bytes in the memories and a mark on every bit that they
 * give out. Where the beam is when a mark is at the video net, there the bit is on the screen.
 */
export function findLayout(
  circuit: Circuit,
  raster: Raster,
  onProgress?: (done: number, total: number) => void,
): MemoryLayout | NoLayout {
  const { picture } = circuit;
  if (!picture) return { problem: "The circuit does not say which nets are the picture." };
  const chips = circuit.chips.filter(({ part }) => part.behaviour.memory);
  if (chips.length === 0) return { problem: "The circuit has no memory." };

  const contents = new Map(chips.map((chip, index) => [chip, randomBytes(sizeOf(chip), `memory ${index}`, 1)]));
  const { simulator, released } = powerUpBoard(circuit, { contents, marks: true });
  const record = recordScreen(simulator, picture, {
    raster,
    frames: 1,
    from: released,
    marks: true,
    ...(onProgress && { onProgress }),
  });
  const pixel = raster.h.active / picture.width;
  const monitor = watch(signalOf(record, picture).signal, { raster, pixel });
  if (!monitor.locked) return { problem: `A monitor would not lock: ${monitor.detail}` };

  const { width, height } = picture;
  const places = record.video.map(() => emptyPlaces(width * height));
  let found = 0;
  forEachDot(scanFrame(monitor.lock, raster, 0), monitor.displacement, picture, (x, y, time) => {
    record.video.forEach((tape, net) => {
      const cell = cellOfMark(simulator.tables, tape.markAt(time));
      const place = places[net];
      if (!cell || !place) return;
      const dot = y * width + x;
      const held = ((contents.get(cell.chip)?.[cell.address] ?? 0) >> cell.bit) & 1;
      place.memory[dot] = cell.memory;
      place.address[dot] = cell.address;
      place.bit[dot] = cell.bit;
      place.inverted[dot] = held === tape.valueAt(time) ? 0 : 1;
      found++;
    });
  });
  return {
    width,
    height,
    memories: chips,
    nets: places,
    found: found / (width * height * places.length),
  };
}

/**
 * Memory contents that show a one-bit picture: white on all video nets. What no dot shows is 0. Throws RangeError when the
 * picture is not of the layout's size.
 */
export function layOut(picture: Picture, layout: MemoryLayout): ReadonlyMap<Chip, Uint8Array> {
  if (picture.width !== layout.width || picture.height !== layout.height) {
    const [given, wanted] = [`${picture.width} x ${picture.height}`, `${layout.width} x ${layout.height}`];
    throw new RangeError(`the picture has ${given} dots, the circuit shows ${wanted}`);
  }
  const contents = layout.memories.map((chip) => new Uint8Array(sizeOf(chip)));
  for (const { memory, address, bit, inverted } of layout.nets) {
    memory.forEach((number, dot) => {
      const bytes = contents[number];
      if (!bytes) return;
      const value = (picture.dots[dot] === 0 ? 0 : 1) ^ (inverted[dot] ?? 0);
      const cell = address[dot] ?? 0;
      const mask = 1 << (bit[dot] ?? 0);
      bytes[cell] = value ? (bytes[cell] ?? 0) | mask : (bytes[cell] ?? 0) & ~mask;
    });
  }
  return new Map(layout.memories.map((chip, index) => [chip, contents[index] ?? new Uint8Array(0)]));
}

/** Words of a memory. */
function sizeOf(chip: Chip): number {
  return 2 ** (chip.part.behaviour.memory?.address.length ?? 0);
}

function emptyPlaces(size: number): DotPlaces {
  return {
    memory: new Int32Array(size).fill(-1),
    address: new Int32Array(size),
    bit: new Int32Array(size),
    inverted: new Uint8Array(size),
  };
}

interface Cell {
  readonly memory: number;
  readonly chip: Chip;
  readonly address: number;
  readonly bit: number;
}

/** The bit that a mark stands for: memories in order, each from bit 0 of its word 0 on, counted from 1. */
function cellOfMark({ memories }: Tables, mark: number): Cell | undefined {
  if (mark === 0) return undefined;
  let rest = mark - 1;
  const chips = memories.filter(({ firstPort }, index) => firstPort === index);
  for (const [memory, { chip, address, dataOut }] of chips.entries()) {
    const bits = 2 ** address.length * dataOut.length;
    if (rest < bits) return { memory, chip, address: Math.floor(rest / dataOut.length), bit: rest % dataOut.length };
    rest -= bits;
  }
  return undefined;
}
