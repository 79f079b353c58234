import type { Expression } from "../../parts/index.js";
import { type LaneLogic, type Lanes, assign, copyLanes, former, laneLogic, present } from "./lane-logic.js";
import { type LogicNetId, type LogicOutput, type LogicSection, netNamed } from "./logic-view.js";

/** More rounds than any section has storage bits in a row: beyond it the section swings. */
const MOST_ROUNDS = 40;

interface LaneBit {
  readonly name: string;
  readonly lanes: Lanes;
  /** Index of its clock; -1 of a latch. */
  readonly gate: number;
  /** What it takes at its clock: with its pins as they were before the changes of the moment, and as they are. */
  readonly nextOld: LaneLogic;
  readonly next: LaneLogic;
  /** What a level does at once: an open latch, then overrides, the strongest last. */
  readonly atOnce: readonly { readonly when: LaneLogic; readonly value: LaneLogic }[];
  taken: Int32Array;
}

interface LaneGate {
  readonly logic: LaneLogic;
  level: Int32Array;
  rise: Int32Array;
}

export interface LaneOutput {
  readonly output: LogicOutput;
  readonly value: LaneLogic;
  readonly enable: LaneLogic | undefined;
  /** What was last told to the net, at once or to come. */
  lastValue: Int32Array;
  lastEnable: Int32Array;
}

/** One section in many states at once. Storage acts at the moment of an input's change; outputs are for others to delay. */
export class LaneSection {
  readonly section: LogicSection;
  readonly bits: readonly LaneBit[];
  readonly outputs: readonly LaneOutput[];
  readonly #gates: LaneGate[] = [];
  #words = 0;
  /** Some lane did not come to rest. */
  swings = false;

  constructor(section: LogicSection, netLanes: (net: LogicNetId) => Lanes) {
    this.section = section;
    const bitLanes = new Map(section.storage.map(({ name }) => [name, emptyLanes()]));
    const lanesOf = (name: string): Lanes => {
      const net = netNamed(name);
      const lanes = net === undefined ? bitLanes.get(name) : netLanes(net);
      if (!lanes) throw new RangeError(`${section.chip.ref}: no signal ${name}`);
      return lanes;
    };
    const now = (expression: Expression) => laneLogic(expression, (name) => present(lanesOf(name)));
    // At a clock the bits are as they were before it; which levels of the pins count differs.
    const atClock = (expression: Expression, pins: typeof present) =>
      laneLogic(expression, (name) => (netNamed(name) === undefined ? former : pins)(lanesOf(name)));
    const gateKeys = new Map<string, number>();
    const gateOf = (clock: Expression): number => {
      const key = JSON.stringify(clock);
      const known = gateKeys.get(key);
      if (known !== undefined) return known;
      const made = this.#gates.push({ logic: now(clock), level: NONE, rise: NONE }) - 1;
      gateKeys.set(key, made);
      return made;
    };
    this.bits = section.storage.map((bit): LaneBit => {
      const overrides = bit.overrides.map(({ when, value }) => ({ when: now(when), value: now(value) })).reverse();
      const open = bit.kind === "latch" ? [{ when: now(bit.open), value: now(bit.next) }] : [];
      return {
        name: bit.name,
        lanes: bitLanes.get(bit.name) ?? emptyLanes(),
        gate: bit.kind === "register" ? gateOf(bit.clock) : -1,
        nextOld: atClock(bit.next, former),
        next: atClock(bit.next, present),
        atOnce: [...open, ...overrides],
        taken: NONE,
      };
    });
    this.outputs = section.outputs.map((output) => ({
      output,
      value: now(output.value),
      enable: output.enable && now(output.enable),
      lastValue: NONE,
      lastEnable: NONE,
    }));
  }

  /** Makes room for so many words of lanes; all levels are low then. */
  resize(words: number): void {
    this.#words = words;
    for (const bit of this.bits) {
      Object.assign(bit.lanes, { now: new Int32Array(words), old: new Int32Array(words) });
      bit.taken = new Int32Array(words);
    }
    for (const gate of this.#gates) Object.assign(gate, { level: new Int32Array(words), rise: new Int32Array(words) });
    for (const output of this.outputs) {
      Object.assign(output, { lastValue: new Int32Array(words), lastEnable: new Int32Array(words) });
    }
  }

  /** Lets levels act on the storage once, no clock; whether that changed any. */
  force(): boolean {
    let changed = false;
    for (const { lanes, atOnce } of this.bits) {
      for (let word = 0; atOnce.length > 0 && word < this.#words; word++) {
        const before = lanes.now[word] as number;
        let level = before;
        for (const { when, value } of atOnce) {
          const acts = when(word);
          level = (acts & value(word)) | (~acts & level);
        }
        if (level !== before) changed = true;
        lanes.now[word] = level;
      }
    }
    return changed;
  }

  /** After all levels have come to rest: what changes from now on is an edge. */
  begin(): void {
    for (const gate of this.#gates) assign(gate.level, gate.logic, this.#words);
    for (const { lanes } of this.bits) lanes.old.set(lanes.now);
    for (const output of this.outputs) this.#tell(output);
  }

  /** Lets changes at the pins act; the pins' old levels are those before them. */
  react(): void {
    if (this.bits.length === 0) return;
    for (const { lanes } of this.bits) lanes.old.set(lanes.now);
    for (let round = 0; ; round++) {
      const rises = this.#clocks();
      if (rises) this.#take(round === 0);
      for (const { lanes } of this.bits) lanes.old.set(lanes.now);
      let changed = false;
      for (const { lanes, gate, taken } of this.bits) {
        if (rises && gate >= 0 && copyLanes(lanes.now, taken, this.#words)) changed = true;
      }
      for (let pass = 0; this.force(); pass++) {
        changed = true;
        if (pass > MOST_ROUNDS) break;
      }
      if (!changed) return;
      if (round > MOST_ROUNDS) {
        this.swings = true;
        return;
      }
    }
  }

  /** Outputs that show something else than was last told. */
  changedOutputs(): readonly LaneOutput[] {
    return this.outputs.filter((output) => this.#tell(output));
  }

  #tell(output: LaneOutput): boolean {
    const changed = assign(output.lastValue, output.value, this.#words);
    return output.enable ? assign(output.lastEnable, output.enable, this.#words) || changed : changed;
  }

  #clocks(): boolean {
    let any = 0;
    for (const gate of this.#gates) {
      for (let word = 0; word < this.#words; word++) {
        const level = gate.logic(word);
        const rise = level & ~(gate.level[word] as number);
        gate.rise[word] = rise;
        gate.level[word] = level;
        any |= rise;
      }
    }
    return any !== 0;
  }

  #take(isFirst: boolean): void {
    for (const { lanes, gate, next, nextOld, taken } of this.bits) {
      const rise = this.#gates[gate]?.rise;
      if (!rise) continue;
      const logic = isFirst ? nextOld : next;
      for (let word = 0; word < this.#words; word++) {
        const edge = rise[word] as number;
        const held = lanes.now[word] as number;
        taken[word] = edge === 0 ? held : held ^ ((held ^ logic(word)) & edge);
      }
    }
  }
}

const NONE = new Int32Array(0);

export function emptyLanes(): Lanes {
  return { now: NONE, old: NONE };
}
