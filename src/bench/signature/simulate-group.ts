import type { Board, NodeId } from "../board/board.js";
import { type Variant, variantOf } from "../board/variant.js";
import { BOARDS, WAYS, groupOf, lanesOf } from "../lanes/group.js";
import { LaneMachine } from "../lanes/lane-machine.js";
import { hasLane } from "../lanes/lane-mask.js";
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
  readonly faulty: readonly Signature[];
  /** Positions of boards that write to memory otherwise: what they show hangs on what was in it before. */
  readonly astray: readonly number[];
}

export interface GroupOptions {
  /** "card": the memory holds the test card from the beginning. "random": whatever, until the processor has written all. */
  readonly memory: "card" | "random";
  /** Nodes that rise at most once a line. */
  readonly slowNodes: ReadonlySet<NodeId>;
  /** Frames that are looked at before it is given up that they be alike. */
  readonly mostWindows?: number;
}

const MOST_WINDOWS = 2;
/** Edges between samples: primes, so that samples fall everywhere in lines and frames. */
const STRIDES = [31, 61, 103, 211, 433, 887, 1777];
const MOST_SAMPLES = 16_000;
/** Edges after the reset until writes are compared: some memory cycles and lines. */
const SETTLING_EDGES = 4096;

/** Simulates boards with faults beside the one without until what they do repeats, and tells what each of them does. */
export function simulateGroup(
  board: Board,
  scenario: Scenario,
  variants: readonly Variant[],
  { memory, slowNodes, mostWindows = MOST_WINDOWS }: GroupOptions,
): GroupResult {
  const { frameEdges, contents, writes } = scenario;
  const tapSamples = scenario.raster ? frameEdges : 0;
  const group = groupOf(board, [variantOf(board, {}), ...variants]);
  const machine = new LaneMachine(group, { slowNodes, tapSamples, seed: 1 });
  if (memory === "card") for (const [chip, bytes] of contents) machine.load(chip, bytes);
  else machine.loadRandom();
  const play = new Play(machine, scenario);
  if (memory === "random" && writes) {
    play.run(Math.max(0, Math.ceil(writes.bytes.length * writes.every) - frameEdges));
  }

  const stride = STRIDES.find((one) => frameEdges / one < MOST_SAMPLES) ?? 1777;
  const lanes = group.variants.length * WAYS;
  const wandering = new Set<number>();
  const risesOf = () => machine.module.plans.map(({ node }) => machine.counted(node, "rises"));
  // What was written while the board found its way does not count.
  play.run(SETTLING_EDGES);
  machine.forgetAstray();
  let before: readonly Uint32Array[] | undefined;
  machine.record();
  for (let window = 1; window <= mostWindows; window++) {
    if (window > 2) machine.forgetFirstHalf();
    machine.count(stride, { keepsLog: window > 1 });
    play.run(frameEdges);
    const rises = risesOf();
    wandering.clear();
    // What wanders without a fault as well hangs on what the processor happens to write.
    const steady = rises.map((own, index) => before !== undefined && isSame(own[0] ?? 0, before[index]?.[0] ?? 0));
    for (let lane = 0; lane < lanes; lane++) if (!isLike(before, rises, lane, steady)) wandering.add(lane);
    before = rises;
    if (window > 1 && wandering.size === 0) break;
  }

  const samples = Math.floor(frameEdges / stride);
  const readings = readingsOf(machine, scenario, samples);
  const screens = new Screens(machine, scenario);
  const seen = (position: number): Signature["screens"] => {
    const [one, other] = lanesOf(position).map((lane) => screens.see(lane));
    return one && other && [one, other];
  };
  const signature = (position: number): Signature => {
    const screen = seen(position);
    return {
      isShorted: false,
      readings: ReadingTable.of(readings(position)),
      ...(screen && { screens: screen }),
      wanders: lanesOf(position).some((lane) => wandering.has(lane)),
    };
  };
  const { astray } = machine;
  return {
    good: signature(0),
    faulty: variants.map((_, index) => signature(index + 1)),
    astray: variants.flatMap((_, index) => (lanesOf(index + 1).some((lane) => hasLane(astray, lane)) ? [index] : [])),
  };
}

/** Whether a lane did the same in two frames, at the nets that are steady without a fault. */
function isLike(
  before: readonly Uint32Array[] | undefined,
  now: readonly Uint32Array[],
  lane: number,
  steady: readonly boolean[],
): boolean {
  return (
    before !== undefined &&
    now.every((rises, index) => !steady[index] || isSame(rises[lane] ?? 0, before[index]?.[lane] ?? 0))
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
        const slow = times(node, lane);
        const span = slow ? ((slow.last - slow.first) * edgeFs) / 1e15 : 0;
        return {
          hertz: slow && slow.count > 1 && slow.isWhole ? (slow.count - 1) / span : (rises[lane] ?? 0) / seconds,
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
