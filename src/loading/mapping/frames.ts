import type { PictureNets } from "../../circuit/index.js";
import { type Displacement, type Raster, type Scan, scanFrame } from "../../raster/index.js";
import { BeamScreen, type Machine, type MachineState, forEachRow, videoNets } from "../../simulation/index.js";
import type { Contents } from "./bit-numbers.js";

/** The level of every dot, row by row, of each video net; of nets that are named twice the same array. */
export type Levels = readonly Uint16Array[];

/** Whether any dot of two pictures differs. */
export function differs(one: Levels, other: Levels): boolean {
  return one.some((levels, net) => levels.some((level, dot) => level !== other[net]?.[dot]));
}

/** Shows one frame after the other, each from the same moment on, with other contents of the memories. */
export class PatternFrames {
  readonly #machine: Machine;
  readonly #picture: PictureNets;
  readonly #start: MachineState;
  readonly #scan: Scan;
  /** Where the picture stands on the raster. */
  readonly displacement: Displacement;
  readonly #until: number;

  /**
   * The machine stands where its circuit goes round, and is left there. `tries` are contents with which a monitor may lock and
   * find where the picture stands; the first that does counts.
   */
  static begin(
    machine: Machine,
    picture: PictureNets,
    raster: Raster,
    tries: readonly Contents[],
  ): PatternFrames | { readonly problem: string } {
    const start = machine.save();
    const settings = { raster, pixel: raster.h.active / picture.width };
    const monitors = tries.map((contents) => {
      machine.restore(start);
      for (const [chip, bytes] of contents) machine.load(chip, bytes);
      return new BeamScreen(machine, picture, settings).runFrame();
    });
    machine.restore(start);
    const seen = monitors.find((one) => one.locked && one.lit) ?? monitors.find((one) => one.locked);
    if (!seen?.locked) {
      const [first] = monitors;
      return { problem: `A monitor would not lock: ${first && !first.locked ? first.detail : ""}` };
    }
    return new PatternFrames(machine, picture, start, scanFrame(seen.lock, raster, 0), seen.displacement);
  }

  private constructor(
    machine: Machine,
    picture: PictureNets,
    start: MachineState,
    scan: Scan,
    displacement: Displacement,
  ) {
    this.#machine = machine;
    this.#picture = picture;
    this.#start = start;
    this.#scan = scan;
    this.displacement = displacement;
    let last = start.now;
    forEachRow(scan, displacement, picture, (_, time, step) => (last = Math.max(last, time + step * picture.width)));
    this.#until = Math.ceil(last);
  }

  /** A frame with these contents; `before` has inputs do something at the very first. */
  show(contents: Contents, before: () => void = () => undefined): Levels {
    const machine = this.#machine;
    machine.restore(this.#start);
    for (const [chip, bytes] of contents) machine.load(chip, bytes);
    before();
    const recording = machine.record();
    machine.run(this.#until);
    const { width, height } = this.#picture;
    const nets = videoNets(this.#picture);
    const levels = new Map<number, Uint16Array>();
    for (const net of new Set(nets)) {
      const reader = recording.reader(net);
      const dots = new Uint16Array(width * height);
      forEachRow(this.#scan, this.displacement, this.#picture, (y, time, step) => {
        reader.addLevels(time, step, width, dots, y * width, 1);
      });
      levels.set(net, dots);
    }
    machine.restore(this.#start);
    return nets.map((net) => levels.get(net) ?? new Uint16Array(0));
  }

  /** Puts the machine back to where it stood at the begin. */
  leave(): void {
    this.#machine.restore(this.#start);
  }
}
