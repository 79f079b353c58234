import type { Chip, Circuit, NetId } from "../circuit/circuit.js";
import { type Fs, fs } from "../quantity/index.js";
import { fieldRate, fieldsPerFrame, findRaster, inHertz } from "../raster/index.js";
import { powerUpBoard } from "./board.js";
import type { Simulator } from "./simulator.js";
import { HIGH, LOW, UNDRIVEN, VALUE } from "./value.js";

export interface ActivityOptions {
  readonly seed?: number;
  readonly onProgress?: (done: number, total: number) => void;
}

/** How much switches on a board, counted with typical delays. */
export interface Activity {
  /** How long was counted, in femtoseconds. */
  readonly time: Fs;
  /** Changes between low and high a second of each net, by its id, in the busiest of the slices that were counted. */
  readonly edgesPerSecond: ReadonlyMap<NetId, number>;
  /** The most outputs of a chip that changed within `TOGETHER` of each other. */
  readonly together: ReadonlyMap<Chip, number>;
  /** Outputs that drove a net against each other. */
  readonly fights: readonly Fight[];
}

/**
 * Outputs that drive one net at once and at some moment against each other. The times are those for which they all drive: in
 * part of it they may agree. Femtoseconds.
 */
export interface Fight {
  readonly net: NetId;
  /** `U3 1Y1`. */
  readonly pins: readonly string[];
  readonly count: number;
  readonly longest: number;
  readonly total: number;
}

/** The current of one output's switching lasts so long: Texas Instruments SDYA011, 5 to 10 ns. */
export const TOGETHER = fs(5_000_000);

const SLOWEST_FRAME_HERTZ = 50;
/** How much of a frame is counted: longer than its blanking, so that lines of the picture are among it, and no long wait. */
const SHARE_OF_FRAME = 0.125;
/** Each is some lines long. */
const SLICES = 8;

/**
 * Runs a board for an eighth of a frame after its reset, memories full of random bytes and signals from outside as busy as
 * their least times allow: more switches then than with most pictures.
 */
export function countActivity(circuit: Circuit, { seed = 1, onProgress }: ActivityOptions = {}): Activity {
  const { simulator, released } = powerUpBoard(circuit, { seed, busy: true });
  const { driversOfNet, drivers } = simulator.tables;
  simulator.run(fs(Math.max(released, simulator.now)));

  const edges = new Map<NetId, number>();
  const recent = new Map<Chip, Map<NetId, number>>();
  const together = new Map<Chip, number>();
  for (const { id } of circuit.nets) {
    let before: number = simulator.valueOf(id);
    const [first, end] = [driversOfNet.start[id] ?? 0, driversOfNet.start[id + 1] ?? 0];
    simulator.observe(id, (time, word) => {
      const value = word & VALUE;
      if (value !== LOW && value !== HIGH) return;
      if (before === value) return;
      const isEdge = before === LOW || before === HIGH;
      before = value;
      if (!isEdge) return;
      edges.set(id, (edges.get(id) ?? 0) + 1);
      for (let index = first; index < end; index++) {
        const driver = driversOfNet.items[index] ?? 0;
        const chip = drivers[driver]?.chip;
        if (chip && simulator.valueOfDriver(driver) !== UNDRIVEN) noteTogether(chip, id, time);
      }
    });
  }

  function noteTogether(chip: Chip, net: NetId, time: number): void {
    let times = recent.get(chip);
    if (!times) recent.set(chip, (times = new Map<NetId, number>()));
    times.set(net, time);
    for (const [other, changed] of times) if (time - changed > TOGETHER) times.delete(other);
    if (times.size > (together.get(chip) ?? 0)) together.set(chip, times.size);
  }

  const from = simulator.now;
  const slice = Math.round((SHARE_OF_FRAME * frameTime(circuit)) / SLICES);
  const edgesPerSecond = new Map<NetId, number>();
  for (let done = 1; done <= SLICES; done++) {
    edges.clear();
    simulator.run(fs(from + done * slice));
    for (const [net, count] of edges) {
      edgesPerSecond.set(net, Math.max(edgesPerSecond.get(net) ?? 0, count / (slice / 1e15)));
    }
    onProgress?.(done, SLICES);
  }
  return { time: fs(simulator.now - from), edgesPerSecond, together, fights: fightsOf(simulator) };
}

function frameTime({ raster }: Circuit): number {
  const found = findRaster(raster);
  if (!found.found) return 1e15 / SLOWEST_FRAME_HERTZ;
  return (1e15 * fieldsPerFrame(found.raster)) / inHertz(fieldRate(found.raster));
}

function fightsOf({ contentions, now }: Simulator): readonly Fight[] {
  const fights = new Map<string, Fight>();
  for (const { net, from, to = now, pins, opposed } of [...contentions.ended, ...contentions.open]) {
    if (!opposed) continue;
    const key = `${net.id} ${[...pins].sort().join()}`;
    const known = fights.get(key);
    const lasted = to - from;
    fights.set(key, {
      net: net.id,
      pins,
      count: (known?.count ?? 0) + 1,
      longest: Math.max(known?.longest ?? 0, lasted),
      total: (known?.total ?? 0) + lasted,
    });
  }
  return [...fights.values()];
}
