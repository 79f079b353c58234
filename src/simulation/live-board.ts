import type { Chip, Circuit, NetId } from "../circuit/circuit.js";
import { boardOscillators } from "../circuit/index.js";
import { longFs } from "../quantity/index.js";
import {
  type Picture,
  type Raster,
  type Shown,
  blackPicture,
  countFrames,
  drawTestCard,
  fieldsPerFrame,
  findRaster,
  scanFrame,
  watch,
} from "../raster/index.js";
import { fillMemories } from "./board.js";
import { Machine } from "./compiled/machine.js";
import { MachineScreen } from "./compiled/machine-screen.js";
import { forEachDot } from "./dots.js";
import { shapeOf } from "./frame.js";
import { type MemoryLayout, type NoLayout, findLayout, layOut } from "./layout.js";
import { recordScreen, signalOf, videoNets } from "./screen.js";
import { SHORT_RESET, planInputs } from "./stimulus.js";
import { HIGH, type Value } from "./value.js";

export interface LiveOptions {
  /** Start state and memory contents at power-up; 1 by default. */
  readonly seed?: number;
  /** Which bit shows which dot, where that is known already; it is looked for otherwise. */
  readonly layout?: MemoryLayout | NoLayout;
  readonly onProgress?: (done: number, total: number) => void;
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
  /** When the beam is in the middle of each dot, from the begin of a frame, rising; and which dot that is. */
  readonly #times: Float64Array;
  readonly #dots: Int32Array;
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
    const layout = options.layout ?? findLayout(circuit, raster, options.onProgress);
    const machine = poweredUp(circuit, options.seed ?? 1);
    const found = "problem" in layout ? undefined : layout;
    if (found) {
      const card = drawTestCard(found.width, found.height, shapeOf(found, raster));
      for (const [chip, bytes] of layOut(card, found)) machine.load(chip, bytes);
    }
    const record = recordScreen(new MachineScreen(machine), picture, { raster, frames: 2, from: longFs(machine.now) });
    const seen = watch(signalOf(record, picture).signal, { raster });
    if (!seen.locked) return { problem: `A monitor would not lock: ${seen.detail}` };
    return new LiveBoard(machine, raster, seen, found);
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
    const moments: { time: number; dot: number }[] = [];
    const { width } = this.picture;
    forEachDot(scan, displacement, this.picture, (x, y, time) => {
      moments.push({ time: time - begin, dot: y * width + x });
    });
    moments.sort((a, b) => a.time - b.time);
    this.#times = Float64Array.from(moments, ({ time }) => time);
    this.#dots = Int32Array.from(moments, ({ dot }) => dot);
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
    const count = this.#times.length;
    const { dots } = this.picture;
    for (let place = this.#passed; place < count; place++) dots[this.#dots[place] as number] = 0;
    this.#nets.forEach((net, index) => {
      const weight = 2 ** (this.#nets.length - 1 - index);
      const { initial, timesFs } = recording.waveOf(net);
      let [level, change] = [initial as number, 0];
      for (let place = this.#passed; place < count; place++) {
        const time = this.#frameBegin + (this.#times[place] as number);
        while (change < timesFs.length && (timesFs[change] as number) <= time)
          [level, change] = [1 - level, change + 1];
        if (level === 1) dots[this.#dots[place] as number] = (dots[this.#dots[place] as number] as number) + weight;
      }
    });
    this.#nextFrame();
  }

  /** Goes on by half a dot, so that both edges of a dot clock are seen, and paints the dot that the beam is in. */
  stepHalfDot(): void {
    const end = this.#frameBegin + this.#frameFs;
    const next = Math.round(this.now + this.#dotFs / 2);
    this.machine.run(Math.min(next, end));
    let value: number | undefined;
    while (this.#passed < this.#times.length) {
      if (this.#frameBegin + (this.#times[this.#passed] as number) > this.now) break;
      value ??= this.#nets.reduce((sum, net) => 2 * sum + (this.machine.valueOf(net) === HIGH ? 1 : 0), 0);
      this.picture.dots[this.#dots[this.#passed] as number] = value;
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

function poweredUp(circuit: Circuit, seed: number): Machine {
  const inputs = planInputs(circuit, { activity: "quiet", longestReset: SHORT_RESET });
  const machine = new Machine(circuit, {
    powerUp: { seed },
    inputs: inputs.first,
    contents: fillMemories(circuit, new Map(), seed),
    mostThorough: MOST_THOROUGH,
  });
  for (const release of inputs.releases) machine.drive(release.net, release.time, release.value);
  machine.run(inputs.released);
  machine.forgetDoubts();
  return machine;
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
