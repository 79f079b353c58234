import { randomStream } from "../../simulation/index.js";
import { type Contents, memoriesOf, numberBits, randomContents } from "../mapping/bit-numbers.js";
import { type Levels, PatternFrames, differs } from "../mapping/frames.js";
import { type MappedScreen, type RunningScreen, mapRunning, passField } from "../mapping/screen.js";
import { type NoMap, neededWords } from "../mapping/screen-map.js";
import { drive } from "../transfer/play.js";
import { Sender } from "../transfer/sender.js";
import { type ViewWay, learnView } from "./learn-view.js";
import type { WritePath } from "../transfer/write-path.js";

/** Steps of the register that are tried where a picture is to be moved. */
const STEPS = [1, -1, 2, -2, 4, -4, 8, -8] as const;
/** Odd, so that a change of an input does not fall on an edge of an oscillator. */
const OFFSET_FS = 1_137_311;

/** What a circuit shows by what its start or page register holds: asked of the circuit, number by number. */
export class Views {
  readonly way: ViewWay;
  /** Numbers that the register has: from 0 up to one less. */
  readonly count: number;
  readonly #screen: RunningScreen;
  readonly #frames: PatternFrames;
  readonly #contents: Contents;

  /** Undefined where no such register is found. The machine stands where its circuit goes round. */
  static find(screen: RunningScreen, path: WritePath): Views | undefined {
    const way = learnView(screen, path);
    const { picture } = screen.circuit;
    if (!way || !picture) return undefined;
    const { rams, roms } = memoriesOf(screen.circuit);
    const memories = [...numberBits(rams), ...numberBits(roms)];
    const contents = randomContents(memories, randomStream("contents that move", 1));
    const frames = PatternFrames.begin(screen.machine, picture, screen.raster, [contents]);
    return "problem" in frames ? undefined : new Views(way, screen, frames, contents);
  }

  private constructor(way: ViewWay, screen: RunningScreen, frames: PatternFrames, contents: Contents) {
    this.way = way;
    this.count = 2 ** way.address.length;
    this.#screen = screen;
    this.#frames = frames;
    this.#contents = contents;
  }

  /** Sets the register, lets a field go by, and finds what each dot shows then. The machine stays so. */
  mapAt(number: number, onProgress?: (done: number, total: number) => void): MappedScreen | NoMap {
    this.#frames.leave();
    this.#set(number);
    passField(this.#screen);
    return mapRunning(this.#screen, onProgress);
  }

  /**
   * How many rows a picture moves up as the register goes from one number to another, down where negative; undefined where what
   * is shown then is not the picture moved.
   */
  movedBy(from: number, to: number): number | undefined {
    const [one, other] = [this.#show(from), this.#show(to)];
    const { picture } = this.#screen.circuit;
    if (!picture) return undefined;
    const { width, height } = picture;
    for (let distance = 1; distance < height; distance++) {
      for (const rows of [distance, -distance]) {
        if (isMoved(one, other, width, height, rows)) return rows;
      }
    }
    return undefined;
  }

  /** The number with which the picture stands so many rows higher, or why there is none. */
  movedUp(from: number, rows: number): number | NoMap {
    for (const step of STEPS) {
      const moved = this.movedBy(from, this.#wrapped(from + step));
      if (moved === undefined || moved === 0) continue;
      if (rows % moved !== 0) {
        return {
          problem: `The picture moves by ${Math.abs(moved)} rows with each step of its register: ${rows} is no multiple of that.`,
        };
      }
      const number = this.#wrapped(from + (rows / moved) * step);
      if (this.movedBy(from, number) === rows) return number;
    }
    return { problem: `No number of its register moves the picture by ${rows} rows.` };
  }

  /** A number with which nothing is shown of the words that the picture shows now; the highest digit of it first. */
  hiddenFrom({ map }: MappedScreen, shown: number): number | undefined {
    const needed = neededWords(map);
    const others = new Map(
      [...this.#contents].map(([chip, bytes]) => {
        const words = needed.get(chip);
        const isRam = map.rams.some((one) => one.chip === chip);
        return [chip, isRam ? bytes.map((byte, at) => (words?.[at] === 1 ? ~byte & 0xff : byte)) : bytes];
      }),
    );
    for (let bit = this.way.address.length - 1; bit >= 0; bit--) {
      const number = shown ^ (1 << bit);
      const isShown = differs(this.#show(shown), this.#show(number));
      if (isShown && !differs(this.#show(number), this.#show(number, others))) return number;
    }
    return undefined;
  }

  #show(number: number, contents = this.#contents): Levels {
    return this.#frames.show(contents, () => this.#set(number));
  }

  /** Has the register set from now on; the machine goes on by itself. */
  #set(number: number): void {
    const { machine, circuit } = this.#screen;
    const sender = new Sender(circuit, this.way, machine.now + OFFSET_FS);
    sender.send({ address: number, byte: 0 });
    drive(machine, sender.take());
  }

  #wrapped(number: number): number {
    return ((number % this.count) + this.count) % this.count;
  }
}

/** Whether one picture is the other so many rows higher, as far as both show it. */
function isMoved(one: Levels, other: Levels, width: number, height: number, rows: number): boolean {
  const [from, to] = [Math.max(0, rows), Math.min(height, height + rows)];
  return one.every((levels, net) => {
    const moved = other[net] ?? new Uint16Array(0);
    for (let dot = from * width; dot < to * width; dot++) {
      if (levels[dot] !== moved[dot - rows * width]) return false;
    }
    return true;
  });
}
