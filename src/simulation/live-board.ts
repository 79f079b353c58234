import type { Chip, Circuit, NetId } from "../circuit/circuit.js";
import { boardOscillators } from "../circuit/index.js";
import {
  type Picture,
  type Raster,
  type Shown,
  blackPicture,
  countFrames,
  fieldsPerFrame,
  findRaster,
  scanFrame,
} from "../raster/index.js";
import { BeamScreen } from "./compiled/beam-screen.js";
import type { Machine } from "./compiled/machine.js";
import { powerUpMachine, testCardFor, testCardIn } from "./compiled/power-up-machine.js";
import { forEachRow } from "./dots.js";
import type { MemoryLayout, NoLayout } from "./layout.js";
import { videoNets } from "./screen.js";
import { HIGH, type Value } from "./value.js";

export interface LiveOptions {
  /** Start state and memory contents at power-up; 1 by default. */
  readonly seed?: number;
  /** Which bit shows which dot, where that is known already; it is looked for otherwise. */
  readonly layout?: MemoryLayout | NoLayout;
}

/** Why a circuit cannot be shown live, in a sentence. */
export interface NotLive {
  readonly problem: string;
}

/** Where the beam of the monitor is. */
export interface Beam {
  /** Lines of the frame and dots of the line, from the leading edges of the syncs, from 0. */
  readonly line: number;
  readonly dot: number;
}

/** Steps that may be worked out thoroughly before a circuit counts as too open to be shown. */
const MOST_THOROUGH = 5000;

/**
 * A circuit without delays that goes on for as long as somebody looks: frame by frame at full speed, or dot by dot with every
 * net to be seen, while its memory is written from outside.
 */
export class LiveBoard {
  readonly machine: Machine;
  readonly raster: Raster;
  /** Which bit shows which dot; absent where none was found. */
  readonly layout: MemoryLayout | undefined;
  /** What the monitor shows now. */
  readonly picture: Picture;
  /** How the monitor saw the first frames. */
  readonly seen: Shown;
  readonly #nets: readonly NetId[];
  readonly #frameFs: number;
  /** Rows of the picture as the beam draws them, and when it is in the middle of the first dot, from the begin of a frame. */
  readonly #rows: readonly { readonly y: number; readonly time: number }[];
  readonly #lineStarts: Float64Array;
  readonly #dotFs: number;
  #frameBegin: number;
  /** Dots of this frame that the beam has passed. */
  #passed = 0;

  /** Powers up, lets the reset go, puts a test card into the memory and looks at it. Throws TooMuchOpen as Machine does. */
  static begin(circuit: Circuit, options: LiveOptions = {}): LiveBoard | NotLive {
    const { picture } = circuit;
    if (!picture) return { problem: "The circuit file names no picture." };
    if (boardOscillators(circuit).length === 0) return { problem: "The circuit has no oscillator." };
    const lookup = findRaster(circuit.raster);
    if (!lookup.found) return { problem: `${circuit.raster} is no published raster.` };
    const { raster } = lookup;
    const powered = powerUpMachine(circuit, { seed: options.seed ?? 1, mostThorough: MOST_THOROUGH });
    const { machine } = powered;
    const { layout, contents } = options.layout ? testCardIn(powered, options.layout) : testCardFor(powered);
    for (const [chip, bytes] of contents) machine.load(chip, bytes);
    const screen = new BeamScreen(machine, picture, { raster });
    screen.runFrame();
    const seen = screen.runFrame();
    if (!seen.locked) return { problem: `A monitor would not lock: ${seen.detail}` };
    return new LiveBoard(machine, raster, seen, "problem" in layout ? undefined : layout);
  }

  private constructor(machine: Machine, raster: Raster, seen: Shown, layout: MemoryLayout | undefined) {
    this.machine = machine;
    this.raster = raster;
    this.layout = layout;
    this.seen = seen;
    const { picture } = machine.circuit;
    this.#nets = picture ? videoNets(picture) : [];
    this.picture = blackPicture(seen.picture.width, seen.picture.height, seen.picture.depth);
    const { lock, displacement } = seen;
    const frame = countFrames(lock, raster) - 1;
    const fields = fieldsPerFrame(raster);
    const [begin, end] = [lock.v.leadingFs[frame * fields] ?? 0, lock.v.leadingFs[(frame + 1) * fields] ?? 0];
    this.#frameFs = end - begin;
    this.#frameBegin = begin;
    const scan = scanFrame(lock, raster, frame);
    this.#dotFs = scan.dotFs;
    this.#lineStarts = Float64Array.from(scan.lines, ({ startFs }) => startFs - begin).sort();
    const rows: { y: number; time: number }[] = [];
    forEachRow(scan, displacement, this.picture, (y, time) => rows.push({ y, time: time - begin }));
    this.#rows = rows.sort((a, b) => a.time - b.time);
    this.#toNextFrame();
  }

  /** Femtoseconds since power-up. */
  get now(): number {
    return this.machine.now;
  }

  get frameFs(): number {
    return this.#frameFs;
  }

  /** Where the beam is now. */
  get beam(): Beam {
    const since = this.now - this.#frameBegin;
    const line = Math.max(0, lastNotAfter(this.#lineStarts, since));
    return { line, dot: Math.floor((since - (this.#lineStarts[line] ?? 0)) / this.#dotFs) };
  }

  /** Goes on to the end of the frame and paints what the beam has passed. */
  finishFrame(): void {
    const { machine } = this;
    const recording = machine.record();
    machine.run(this.#frameBegin + this.#frameFs);
    const { dots, width } = this.picture;
    const readers = this.#nets.map((net) => recording.reader(net));
    for (let row = Math.floor(this.#passed / width); row < this.#rows.length; row++) {
      const { y, time } = this.#rows[row] ?? { y: 0, time: 0 };
      const from = Math.max(0, this.#passed - row * width);
      const [begin, at] = [this.#frameBegin + time + from * this.#dotFs, y * width + from];
      dots.fill(0, at, (y + 1) * width);
      readers.forEach((reader, index) => {
        reader.addLevels(begin, this.#dotFs, width - from, dots, at, 2 ** (readers.length - 1 - index));
      });
    }
    this.#nextFrame();
  }

  /** Goes on by half a dot, so that both edges of a dot clock are seen, and paints the dot that the beam is in. */
  stepHalfDot(): void {
    const end = this.#frameBegin + this.#frameFs;
    const next = Math.round(this.now + this.#dotFs / 2);
    this.machine.run(Math.min(next, end));
    let value: number | undefined;
    const { width, dots } = this.picture;
    for (;;) {
      const row = this.#rows[Math.floor(this.#passed / width)];
      const x = this.#passed % width;
      if (!row || this.#frameBegin + row.time + x * this.#dotFs > this.now) break;
      value ??= this.#nets.reduce((sum, net) => 2 * sum + (this.machine.valueOf(net) === HIGH ? 1 : 0), 0);
      dots[row.y * width + x] = value;
      this.#passed++;
    }
    if (next >= end) this.#nextFrame();
  }

  /** Values that a dot can have: of two alone where one bit is behind all video nets. */
  get values(): readonly number[] {
    const [first, ...others] = this.layout?.nets ?? [];
    const isSame = (one: Int32Array, other: Int32Array) => one.every((place, dot) => place === other[dot]);
    const isOneBit = others.every(
      ({ memory, address, bit }) =>
        first && isSame(memory, first.memory) && isSame(address, first.address) && isSame(bit, first.bit),
    );
    const most = 2 ** this.#nets.length - 1;
    return isOneBit ? [0, most] : Array.from({ length: most + 1 }, (_, value) => value);
  }

  levelOf(net: NetId): Value {
    return this.machine.valueOf(net);
  }

  /**
   * Writes dots of the picture in memory, row by row from its top left: the value of each, -1 where it stays as it is. All video
   * nets of a dot whose bit is known follow.
   */
  write(values: Int32Array): void {
    const { layout } = this;
    if (!layout) return;
    const contents = new Map<Chip, Uint8Array>(layout.memories.map((chip) => [chip, this.machine.contentsOf(chip)]));
    const changed = new Set<Chip>();
    layout.nets.forEach(({ memory, address, bit, inverted }, net) => {
      const shift = layout.nets.length - 1 - net;
      for (let dot = 0; dot < values.length; dot++) {
        const value = values[dot] as number;
        const chip = value < 0 ? undefined : layout.memories[memory[dot] as number];
        const bytes = chip && contents.get(chip);
        if (!chip || !bytes) continue;
        const [cell, mask] = [address[dot] as number, 1 << (bit[dot] as number)];
        const before = bytes[cell] as number;
        const after = (((value >> shift) & 1) ^ (inverted[dot] as number)) === 1 ? before | mask : before & ~mask;
        if (after === before) continue;
        bytes[cell] = after;
        changed.add(chip);
      }
    });
    for (const chip of changed) this.machine.load(chip, contents.get(chip) ?? new Uint8Array(0));
  }

  #nextFrame(): void {
    this.#frameBegin += this.#frameFs;
    this.#passed = 0;
  }

  #toNextFrame(): void {
    while (this.#frameBegin < this.machine.now) this.#frameBegin += this.#frameFs;
    this.machine.run(this.#frameBegin);
  }
}

/** Index of the last of some rising times that is not after one; -1 where all are. */
function lastNotAfter(times: Float64Array, time: number): number {
  let [low, high] = [0, times.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((times[middle] as number) <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}
