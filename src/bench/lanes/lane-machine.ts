import { randomFor } from "../../simulation/random.js";
import type { NodeId } from "../board/board.js";
import { LaneContents } from "./contents.js";
import { type Group, WAYS } from "./group.js";
import { LANES, type LaneMask, hasLane, noLanes, setLane } from "./lane-mask.js";
import { type LaneModule, type Source, compileGroup } from "./lane-module.js";
import { RiseTime, TIMES_SHIFT } from "./node-code.js";
import { Control, NODE_BYTES, NodePart, RISE_BITS, SAMPLE_BITS, VECTOR_BYTES } from "./places.js";

export interface LaneOptions {
  readonly slowNodes: ReadonlySet<NodeId>;
  /** Samples of the monitor's nets that there is room for. */
  readonly tapSamples: number;
  /** Of the states at power-up and of what comes first where nothing says so. */
  readonly seed: number;
}

/** Share of the units that take a round longer in the second way. Our own choice. */
const SLOW_SHARE = 0.3;

/** Rises of a slow net in one lane. */
export interface SlowRises {
  readonly first: number;
  readonly last: number;
  readonly count: number;
}

/**
 * Boards that differ by their faults, simulated side by side without delays: one bit of every vector is one board. Each board
 * runs in two ways. What nothing decides (floating inputs, fights of outputs, states at power-up, which of two changes comes
 * first) is decided differently in the two; where they agree, it does not matter.
 */
export class LaneMachine {
  readonly group: Group;
  readonly module: LaneModule;
  readonly contents: LaneContents;
  private readonly words: Uint32Array;
  private readonly seed: number;
  private readonly inputsOf = new Map<NodeId, readonly Source[]>();

  constructor(group: Group, { slowNodes, tapSamples, seed }: LaneOptions) {
    this.group = group;
    const highWins = noLanes();
    for (let lane = 1; lane < LANES; lane += WAYS) setLane(highWins, lane);
    this.module = compileGroup(group, { slowNodes, highWins, tapSamples });
    this.words = new Uint32Array(this.module.memory.buffer);
    this.contents = new LaneContents(this.words, this.module.arrays);
    this.seed = seed;
    for (const input of this.module.inputs) {
      const node = group.board.pins[input.pin ?? 0]?.node ?? 0;
      this.inputsOf.set(node, [...(this.inputsOf.get(node) ?? []), input]);
    }
    this.powerUp(highWins);
  }

  /** Edges of oscillators so far. */
  get step(): number {
    return this.words[Control.step / 4] ?? 0;
  }

  /** Sets an input from outside, in all lanes; what hangs on it follows when `settle` is called or an oscillator turns. */
  drive(node: NodeId, level: 0 | 1): void {
    for (const { place, word, bit } of this.inputsOf.get(node) ?? []) {
      this.fill(place, level);
      this.words[word / 4] = ((this.words[word / 4] ?? 0) | (1 << bit)) >>> 0;
    }
  }

  settle(): void {
    this.module.settle();
  }

  /** Turns an oscillator over so many times. */
  run(edges: number, oscillator = 0): void {
    this.module.run[oscillator]?.(edges);
  }

  /** Begins to count rises and to sample every so many edges; what was counted before is forgotten, times on request not. */
  count(stride: number, { keepsTimes = false } = {}): void {
    const { plans, nodes, restFlags } = this.module;
    this.words.fill(0, restFlags.address / 4, restFlags.address / 4 + Math.ceil(restFlags.count / 32));
    for (const { node, times } of plans) {
      const at = nodes + node * NODE_BYTES;
      if (times !== undefined && !keepsTimes) this.words.fill(0, times / 4, (times + (LANES << TIMES_SHIFT)) / 4);
      this.words.copyWithin((at + NodePart.rest) / 4, at / 4, at / 4 + 4);
      this.words.fill(0, (at + NodePart.rises) / 4, (at + NODE_BYTES) / 4);
    }
    this.words[Control.stride / 4] = stride;
    this.words[Control.untilSample / 4] = stride;
  }

  /** Begins to write the monitor's nets, at every rise of the oscillator, until the room is used up. */
  record(): void {
    const { taps } = this.module;
    this.words[Control.tapNext / 4] = taps.address;
    this.words[Control.tapEnd / 4] = taps.address + taps.bytes;
  }

  /** Writes what is on record once more after itself: boards that repeat do the same again. */
  repeatRecord(): void {
    const { taps } = this.module;
    const until = this.words[Control.tapNext / 4] ?? 0;
    const length = Math.min(until - taps.address, taps.address + taps.bytes - until);
    this.words.copyWithin(until / 4, taps.address / 4, (taps.address + length) / 4);
    this.words[Control.tapNext / 4] = until + length;
  }

  /** Drops the first half of what is on record, so that there is room for as much again. */
  forgetFirstHalf(): void {
    const { taps } = this.module;
    const half = Math.floor(taps.bytes / 2 / (taps.count * VECTOR_BYTES)) * taps.count * VECTOR_BYTES || 0;
    const until = this.words[Control.tapNext / 4] ?? 0;
    this.words.copyWithin(taps.address / 4, (taps.address + half) / 4, until / 4);
    this.words[Control.tapNext / 4] = until - half;
  }

  /** Samples on record, and their words: four for each of the monitor's nets. */
  get recorded(): { readonly samples: number; readonly words: Uint32Array; readonly nets: number } {
    const { taps } = this.module;
    const until = this.words[Control.tapNext / 4] ?? 0;
    return {
      samples: taps.count === 0 ? 0 : (until - taps.address) / (taps.count * VECTOR_BYTES),
      words: this.words.subarray(taps.address / 4, until / 4),
      nets: taps.count,
    };
  }

  /** First and last rise of a slow node in a lane, in steps, and how many there were; undefined of other nodes. */
  slowRises(): (node: NodeId, lane: number) => SlowRises | undefined {
    const times = new Map(this.module.plans.map((plan) => [plan.node, plan.times]));
    return (node, lane) => {
      const table = times.get(node);
      if (table === undefined) return undefined;
      const of = (what: keyof typeof RiseTime) => this.words[(table + (lane << TIMES_SHIFT) + RiseTime[what]) / 4] ?? 0;
      return { first: of("first"), last: of("last"), count: of("count") };
    };
  }

  /** What was counted of a node since `count`, in every lane. */
  counted(node: NodeId, what: "rises" | "highs" | "fought" | "opened"): Uint32Array {
    const at = (this.module.nodes + node * NODE_BYTES + NodePart[what]) / 4;
    const counts = new Uint32Array(LANES);
    for (let bit = 0; bit < (what === "rises" ? RISE_BITS : SAMPLE_BITS); bit++) {
      for (let word = 0; word < 4; word++) {
        let rest = this.words[at + bit * 4 + word] ?? 0;
        for (; rest !== 0; rest &= rest - 1) {
          const lane = 32 * word + 31 - Math.clz32(rest & -rest);
          counts[lane] = (counts[lane] ?? 0) + 2 ** bit;
        }
      }
    }
    return counts;
  }

  /** Lanes in which a node was found to ring. */
  ringing(node: NodeId): LaneMask {
    const at = (this.module.nodes + node * NODE_BYTES + NodePart.frozen) / 4;
    return this.words.slice(at, at + 4);
  }

  /** All that decides how the boards go on, but for what memories hold. */
  state(): Uint32Array {
    const { nodes, plans, bits, outputs, lastClocks } = this.module;
    const places = [
      ...plans.map(({ node }) => nodes + node * NODE_BYTES + NodePart.value),
      ...bits.map(({ address }) => address),
      ...outputs.flatMap(({ value, enable, pending }) => [value, pending, ...(enable === undefined ? [] : [enable])]),
      ...lastClocks,
    ];
    const state = new Uint32Array(places.length * 4);
    places.forEach((at, index) => state.set(this.words.subarray(at / 4, at / 4 + 4), index * 4));
    return state;
  }

  /** Lanes in which the state is another one than it was. */
  changedSince(before: Uint32Array): LaneMask {
    const changed = noLanes();
    this.state().forEach((word, at) => {
      changed[at & 3] = ((changed[at & 3] ?? 0) | (word ^ (before[at] ?? 0))) >>> 0;
    });
    return changed;
  }

  levelOf(node: NodeId, lane: number): 0 | 1 {
    const at = (this.module.nodes + node * NODE_BYTES + NodePart.value) / 4;
    return hasLane(this.words.subarray(at, at + 4), lane) ? 1 : 0;
  }

  private fill(address: number, level: 0 | 1): void {
    this.words.fill(level ? 0xffffffff : 0, address / 4, address / 4 + 4);
  }

  private powerUp(highWins: LaneMask): void {
    const { module, seed } = this;
    const { circuit, low, high } = this.group.board;
    const ways = (name: string): LaneMask => {
      const mask = noLanes();
      for (let way = 0; way < WAYS; way++) {
        if (randomFor(name, seed + way) < 0.5) continue;
        for (let lane = way; lane < LANES; lane += WAYS) setLane(mask, lane);
      }
      return mask;
    };
    for (const { name, address } of module.bits) this.words.set(ways(name), address / 4);
    for (const address of module.lastClocks) this.fill(address, 1);
    for (const { name, address } of module.slow) {
      const mask = noLanes();
      if (randomFor(`slow ${name}`, seed) < SLOW_SHARE) mask.set(highWins);
      this.words.set(mask, address / 4);
    }
    // A node that nothing drives keeps this level: low in the one way, high in the other; an open bipolar input is high.
    for (const { node } of module.plans) {
      const at = (module.nodes + node * NODE_BYTES + NodePart.value) / 4;
      if (this.floatsHigh(node)) this.words.fill(0xffffffff, at, at + 4);
      else this.words.set(highWins, at);
    }
    circuit.nets.forEach(({ rail }, node) => {
      if (rail) this.fill(module.nodes + node * NODE_BYTES + NodePart.value, rail === "high" ? 1 : 0);
    });
    this.fill(module.nodes + low * NODE_BYTES + NodePart.value, 0);
    this.fill(module.nodes + high * NODE_BYTES + NodePart.value, 1);
    for (const { address, count } of [module.unitFlags, module.nodeFlags]) {
      this.words.fill(0xffffffff, address / 4, address / 4 + Math.ceil(count / 32));
    }
  }

  /** An open input of bipolar TTL reads high. */
  private floatsHigh(node: NodeId): boolean {
    const { board } = this.group;
    if (board.circuit.nets[node]?.rail) return false;
    const readers = board.pins.filter((pin) => pin.node === node && pin.reads && pin.chip);
    return readers.length > 0 && readers.every(({ chip }) => BIPOLAR.has(chip?.part.family ?? ""));
  }
}

const BIPOLAR: ReadonlySet<string> = new Set(["", "LS", "ALS", "AS", "F", "S", "L", "H"]);
