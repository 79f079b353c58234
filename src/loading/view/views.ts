import { randomStream } from "../../simulation/index.js";
import { type Contents, memoriesOf, numberBits, randomContents } from "../mapping/bit-numbers.js";
import { type Levels, PatternFrames, differs } from "../mapping/frames.js";
import { type MappedScreen, type RunningScreen, mapRunning, passField } from "../mapping/screen.js";
import { type NoMap, neededWords } from "../mapping/screen-map.js";
import { drive } from "../transfer/play.js";
import { Sender } from "../transfer/sender.js";
import { type ViewWay, learnView } from "./learn-view.js";
import type { WritePath } from "../transfer/write-path.js";

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

  /**
   * The numbers with which the picture moves up by so many rows, step by step; or why there are none. Counting up or down may
   * go round in the low bits alone, where others choose a page.
   */
  movedUp(from: number, rows: number): readonly number[] | NoMap {
    for (const step of [1, -1]) {
      for (let ring = this.count; ring > 1; ring /= 2) {
        const stepped = (times: number) => from - (from % ring) + ((((from + times * step) % ring) + ring) % ring);
        const moved = this.movedBy(from, stepped(1));
        if (moved === undefined) continue;
        if (rows % moved !== 0) {
          const each = `${Math.abs(moved)} rows with each step of its register`;
          return { problem: `The picture moves by ${each}: ${Math.abs(rows)} is no multiple of that.` };
        }
        // What moves it the other way is come to with the other step.
        if (rows / moved < 0) break;
        const numbers = Array.from({ length: rows / moved }, (_, n) => stepped(n + 1));
        const last = numbers.at(-1);
        if (last !== undefined && this.movedBy(from, last) === rows) return numbers;
      }
    }
    return { problem: `No number of its register moves the picture by ${Math.abs(rows)} rows.` };
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
    // Whoever writes next finds all inputs at rest.
    for (const [net, level] of this.way.rest) machine.drive(net, sender.now + OFFSET_FS, level);
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
