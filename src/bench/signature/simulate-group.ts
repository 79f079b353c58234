import type { Board, NodeId } from "../board/board.js";
import { type Variant, variantOf } from "../board/variant.js";
import { BOARDS, groupOf, lanesOf } from "../lanes/group.js";
import { LaneMachine } from "../lanes/lane-machine.js";
import { LANES, type LaneMask, hasLane, noLanes } from "../lanes/lane-mask.js";
import { Play } from "./play.js";
import { type Reading, ReadingTable, type Readings, isSameReading } from "./reading.js";
import type { Scenario } from "./scenario.js";
import { type ScreenSignature, Screens } from "./screen-signature.js";

/** Faults in a group: the board without faults runs beside them. */
export const FAULTS_IN_GROUP = BOARDS - 1;

/** What comes of one board: all that a builder can see and measure. */
export interface Signature {
  /** The supply is shorted: nothing works, and the current is at its limit. */
  readonly isShorted: boolean;
  /** Readings that are not those of the board without faults. */
  readonly readings: ReadingTable;
  /** What the monitor shows, in both ways; absent where the circuit has no picture. */
  readonly screens?: readonly [ScreenSignature, ScreenSignature];
  /** It had not come to do the same in each frame when the simulation ended. */
  readonly wanders: boolean;
}

export interface GroupResult {
  readonly good: Signature;
  /** What comes of each board; undefined where it has to be simulated otherwise. */
  readonly faulty: readonly (Signature | undefined)[];
  /** Positions of boards that write to memory otherwise: what they show hangs on what was in it before. */
  readonly astray: readonly number[];
  /** Positions of boards that do not repeat after a frame and are left to a longer simulation. */
  readonly unsettled: readonly number[];
}

export interface GroupOptions {
  /** "card": the memory holds the test card from the beginning. "random": whatever, until the processor has written all. */
  readonly memory: "card" | "random";
  /** Boards that do not repeat after one frame: left to another simulation where they are few, or looked at for two. */
  readonly length: "one frame" | "two frames";
  /** Nodes that rise seldom. */
  readonly slowNodes: ReadonlySet<NodeId>;
}

/** Edges between samples: primes, so that samples fall everywhere in lines and frames. */
const STRIDES = [31, 61, 103, 211, 433, 887, 1777];
const MOST_SAMPLES = 16_000;
/** Edges after the reset until anything counts: some memory cycles and lines. */
const SETTLING_EDGES = 4096;
/** Writes by which is seen whether a board writes what it should. */
const WRITES_COMPARED = 256;
/** Boards of a group that are left to another simulation, as a share: with more it is cheaper to go on with all. */
const MOST_LEFT = 0.3;

/** Simulates boards with faults beside the one without until what they do repeats, and tells what each of them does. */
export function simulateGroup(
  board: Board,
  scenario: Scenario,
  variants: readonly Variant[],
  { memory, length, slowNodes }: GroupOptions,
): GroupResult {
  const { frameEdges, writes } = scenario;
  const tapSamples = scenario.raster ? frameEdges : 0;
  const group = groupOf(board, [variantOf(board, {}), ...variants]);
  const machine = new LaneMachine(group, { slowNodes, tapSamples, seed: 1 });
  const play = new Play(machine, scenario);
  const astray = memory === "card" ? writeCompared(machine, play, scenario) : noLanes();
  if (memory === "random") {
    machine.contents.loadRandom(1);
    play.runUp(SETTLING_EDGES + (writes ? writes.bytes.length * writes.every : 0));
  }

  const boardsIn = (mask: LaneMask) =>
    group.variants.flatMap((_, position) => (lanesOf(position).some((lane) => hasLane(mask, lane)) ? [position] : []));
  const stride = STRIDES.find((one) => frameEdges / one < MOST_SAMPLES) ?? 1777;
  let state = machine.state();
  machine.record();
  machine.count(stride);
  play.frame();
  let changed = machine.changedSince(state);
  if (memory === "card") addLanes(astray, machine.contents.astray);
  const strays = writes ? boardsIn(astray) : [];
  const unsettled = boardsIn(changed).filter((position) => !strays.includes(position));
  const isLong =
    length === "two frames" || unsettled.includes(0) || unsettled.length > MOST_LEFT * group.variants.length;
  let wandering: ReadonlySet<number> = new Set();
  if (isLong && unsettled.length > 0) {
    const before = risesOf(machine);
    state = machine.state();
    machine.count(stride, { keepsTimes: true });
    play.frame();
    changed = machine.changedSince(state);
    wandering = wanderersOf(before, risesOf(machine), changed);
  } else {
    machine.repeatRecord();
  }

  const readings = readingsOf(machine, scenario, Math.floor(frameEdges / stride), changed);
  const screens = new Screens(machine, scenario);
  const seen = (position: number): Signature["screens"] => {
    const [one, other] = lanesOf(position).map((lane) => screens.see(lane));
    return one && other && [one, other];
  };
  const left = new Set([...strays, ...(isLong ? [] : unsettled)]);
  const signature = (position: number): Signature => {
    const screen = seen(position);
    return {
      isShorted: false,
      readings: ReadingTable.of(readings(position)),
      ...(screen && { screens: screen }),
      wanders: lanesOf(position).some((lane) => wandering.has(lane)),
    };
  };
  return {
    good: signature(0),
    faulty: variants.map((_, index) => (left.has(index + 1) ? undefined : signature(index + 1))),
    astray: strays.map((position) => position - 1),
    unsettled: isLong ? [] : unsettled.map((position) => position - 1),
  };
}

/** Lanes in which other words were written than on the board without faults, once the boards have found their way. */
function writeCompared(machine: LaneMachine, play: Play, { circuit, contents, writes }: Scenario): LaneMask {
  const load = (mask: number) => {
    for (const [chip, bytes] of contents) machine.contents.load(circuit.chips.indexOf(chip), bytes, mask);
  };
  if (!writes) {
    load(0);
    play.runUp(SETTLING_EDGES);
    return noLanes();
  }
  play.runUp(SETTLING_EDGES);
  // Every word is wrong now, so that each that is written right shows.
  load(ALL_BITS);
  play.runUp(WRITES_COMPARED * writes.every);
  const { astray } = machine.contents;
  load(0);
  // What was read before has to pass.
  play.runUp(SETTLING_EDGES);
  return astray;
}

const ALL_BITS = 0xff;

function addLanes(to: LaneMask, more: LaneMask): void {
  more.forEach((word, at) => (to[at] = ((to[at] ?? 0) | word) >>> 0));
}

/** Rises of every net in every lane. */
function risesOf(machine: LaneMachine): readonly Uint32Array[] {
  return machine.module.plans.map(({ node }) => machine.counted(node, "rises"));
}

/** Lanes that did not do the same in two frames, at the nets that are steady without a fault. */
function wanderersOf(
  before: readonly Uint32Array[],
  now: readonly Uint32Array[],
  changed: LaneMask,
): ReadonlySet<number> {
  const steady = now.map((own, index) => isSame(own[0] ?? 0, before[index]?.[0] ?? 0));
  const isLike = (lane: number) =>
    now.every((rises, index) => !steady[index] || isSame(rises[lane] ?? 0, before[index]?.[lane] ?? 0));
  return new Set(
    Array.from({ length: LANES }, (_, lane) => lane).filter((lane) => hasLane(changed, lane) && !isLike(lane)),
  );
}

/** A rise or two more or less come of where the frame was cut. */
function isSame(a: number, b: number): boolean {
  return Math.abs(a - b) <= Math.max(2, 0.02 * a);
}

/**
 * Makes the readings of any board of the machine, of the nodes that are in use on it: all of the board without faults (at
 * position 0), and of the others those that differ from it.
 */
function readingsOf(
  machine: LaneMachine,
  { frameEdges, edgeFs }: Scenario,
  samples: number,
  unsettled: LaneMask,
): (position: number) => readonly (readonly [NodeId, Readings])[] {
  const seconds = (frameEdges * edgeFs) / 1e15;
  const times = machine.slowRises();
  const counts = machine.module.plans.map(({ node }) => ({
    node,
    rises: machine.counted(node, "rises"),
    highs: machine.counted(node, "highs"),
    open: machine.counted(node, "opened"),
    fights: machine.counted(node, "fought"),
    rings: machine.ringing(node),
  }));
  const { board, variants } = machine.group;
  const near = samples * NEAR_DUTY;
  return (position) => {
    const most = board.nodeCount + (variants[position]?.extraNodes ?? 0);
    const lanes = lanesOf(position);
    const found: (readonly [NodeId, Readings])[] = [];
    for (const { node, rises, highs, open, fights, rings } of counts) {
      if (node >= most) continue;
      const read = (lane: number): Reading => {
        // What repeats with the frame is counted in a frame; of others a few rises more or less count where they are few.
        const slow = hasLane(unsettled, lane) ? times(node, lane) : undefined;
        const span = slow ? ((slow.last - slow.first) * edgeFs) / 1e15 : 0;
        return {
          hertz: slow && slow.count > 1 ? (slow.count - 1) / span : (rises[lane] ?? 0) / seconds,
          duty: (highs[lane] ?? 0) / samples,
          open: (open[lane] ?? 0) / samples,
          fight: (fights[lane] ?? 0) / samples,
          rings: hasLane(rings, lane),
        };
      };
      const isOwn = position > 0 && node < board.nodeCount;
      // Most nodes are as they are without a fault: no reading is made of them.
      const isUsual = lanes.every((lane, way) => {
        const far = (counted: Uint32Array) => Math.abs((counted[lane] ?? 0) - (counted[way] ?? 0));
        return rises[lane] === rises[way] && far(highs) < near && far(open) < near && far(fights) < near;
      });
      if (isOwn && isUsual && !lanes.some((lane) => hasLane(rings, lane))) continue;
      const [one, other] = lanes.map(read);
      const ways: Readings = [one ?? NOTHING, other ?? NOTHING];
      if (isOwn && ways.every((way, index) => isSameReading(way, read(index)))) continue;
      found.push([node, ways]);
    }
    return found;
  };
}

/** A share of the samples within which levels are alike without a further look. */
const NEAR_DUTY = 0.01;

const NOTHING: Reading = { hertz: 0, duty: 0, open: 0, fight: 0, rings: false };
