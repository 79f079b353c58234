import { type Lanes, copyLanes } from "./lane-logic.js";
import { type LaneOutput, LaneSection, emptyLanes } from "./lane-section.js";
import type { LogicNetId, LogicOutput, LogicSection, LogicView } from "./logic-view.js";
import { gateLoops } from "./gate-loops.js";
import { TooManyToFollow } from "./not-followed.js";

/** A state is a number of two halves of so many bits each. */
const HALF_BITS = 24;
const HALF = 2 ** HALF_BITS;
export const MOST_STATE_BITS = 2 * HALF_BITS;

/** Changes in half a period after which the unit is taken to swing for ever. */
const MOST_CHANGES = 20_000;

/**
 * A bit of a unit's state: a storage bit, or the level of a net that keeps itself, be it that a gate in a latch made of gates
 * drives it or that at times nothing does.
 */
export interface StateBit {
  /** That holds it, or that drives the net. */
  readonly section: LogicSection;
  /** The storage bit's name; empty for a net. */
  readonly name: string;
  /** The net; undefined for a storage bit. */
  readonly net: LogicNetId | undefined;
}

/** A change of a net that the unit reads: the same in all lanes, or a level for each. */
export interface ComingChange {
  /** From the oscillator's edge, in fs. */
  readonly time: number;
  readonly net: LogicNetId;
  readonly level: 0 | 1 | Int32Array;
}

/** A change of a net in lane 0. */
export interface SeenChange {
  readonly time: number;
  readonly net: LogicNetId;
  readonly level: 0 | 1;
}

interface LaneNet extends Lanes {
  readonly id: LogicNetId;
  readonly drivers: LaneDriver[];
  readonly readers: LaneSection[];
}

interface LaneDriver {
  readonly net: LaneNet;
  value: Int32Array;
  /** Absent where it always drives. */
  enable: Int32Array | undefined;
}

interface Pending {
  readonly time: number;
  readonly net: LaneNet;
  readonly driver: LaneDriver | undefined;
  readonly value: Int32Array;
  readonly enable: Int32Array | undefined;
}

/**
 * Some sections of a circuit, run from many states at once at a clock so slow that all comes to rest after each of its edges.
 * Every output has one delay within its limits, which decides in what order changes come.
 */
export class LaneUnit {
  readonly bits: readonly StateBit[];
  /** Nets that it reads and does not drive. */
  readonly inputs: readonly LogicNetId[];
  readonly #sections: readonly LaneSection[];
  readonly #nets = new Map<LogicNetId, LaneNet>();
  readonly #drivers = new Map<LogicOutput, LaneDriver>();
  readonly #stateLanes: readonly Lanes[];
  readonly #keptNets: ReadonlySet<LaneNet>;
  #words = 0;
  #count = 0;
  /** Something did not come to rest: what was found then tells nothing. */
  isUnsettled = false;
  /** Where the changes of lane 0 are noted, of nets that it drives. */
  watching: SeenChange[] | undefined;

  /** Throws TooManyToFollow where they hold more than `MOST_STATE_BITS` bits. */
  constructor(view: LogicView, sections: readonly LogicSection[]) {
    const netOf = (id: LogicNetId): LaneNet => {
      const known = this.#nets.get(id);
      if (known) return known;
      const made: LaneNet = { id, ...emptyLanes(), drivers: [], readers: [] };
      this.#nets.set(id, made);
      return made;
    };
    this.#sections = sections.map((section) => new LaneSection(section, netOf));
    for (const lane of this.#sections) {
      for (const net of lane.section.reads) netOf(net).readers.push(lane);
      for (const { output } of lane.outputs) {
        const net = netOf(output.net);
        const driver: LaneDriver = { net, value: new Int32Array(0), enable: undefined };
        net.drivers.push(driver);
        this.#drivers.set(output, driver);
      }
    }
    this.inputs = [...this.#nets.values()].filter(({ drivers }) => drivers.length === 0).map(({ id }) => id);
    const looping = gateLoops(view, sections);
    const kept = [...this.#nets.values()].filter(({ id, drivers }) => {
      const own = view.nets[id]?.drivers ?? [];
      const floats = (view.nets[id]?.readers.length ?? 0) > 0 && own.every(({ enable }) => enable !== undefined);
      return drivers.length > 0 && (floats || own.some((output) => looping.has(output)));
    });
    this.#keptNets = new Set(kept);
    this.bits = [
      ...this.#sections.flatMap(({ section, bits }) =>
        bits.map(({ name }): StateBit => ({ section, name, net: undefined })),
      ),
      ...kept.flatMap(({ id }): StateBit[] => {
        const [driver] = view.nets[id]?.drivers ?? [];
        return driver ? [{ section: driver.section, name: "", net: id }] : [];
      }),
    ];
    if (this.bits.length > MOST_STATE_BITS) throw new TooManyToFollow(`${this.bits.length} bits that hang together`);
    const stored = this.#sections.flatMap(({ bits }) => bits.map(({ lanes }) => lanes));
    this.#stateLanes = [...stored, ...kept];
  }

  /** Whether a net's level after all changes is high, by lane. */
  levels(net: LogicNetId): Int32Array | undefined {
    return this.#nets.get(net)?.now;
  }

  /**
   * Sets all lanes to states and lets levels come to rest; edges count from then on. `level` gives what each input net has
   * before the period begins.
   */
  begin(states: ArrayLike<number>, level: (net: LogicNetId) => 0 | 1 | Int32Array): void {
    this.#count = states.length;
    const words = Math.max(1, (states.length + 31) >> 5);
    if (words !== this.#words) this.#resize(words);
    this.#load(states);
    for (const id of this.inputs) {
      const net = this.#nets.get(id);
      if (net) fill(net.now, level(id));
    }
    this.#rest();
    for (const section of this.#sections) section.begin();
    for (const net of this.#nets.values()) net.old.set(net.now);
  }

  /** Half a period: from an edge of the oscillator until all is at rest again. `coming` in order of time. */
  run(coming: readonly ComingChange[]): void {
    const pending: Pending[] = [];
    for (const { time, net: id, level } of coming) {
      const net = this.#nets.get(id);
      if (!net) continue;
      const value = new Int32Array(this.#words);
      fill(value, level);
      pending.push({ time, net, driver: undefined, value, enable: undefined });
    }
    for (let changes = 0; pending.length > 0; changes++) {
      if (changes > MOST_CHANGES) {
        this.isUnsettled = true;
        return;
      }
      this.#moment(pending);
    }
    if (this.#sections.some(({ swings }) => swings)) this.isUnsettled = true;
  }

  /** The states that the lanes are in, written into a list. */
  states<T extends Int32Array | Float64Array>(into: T): T {
    const low = new Int32Array(this.#count);
    const high = new Int32Array(this.#count);
    this.#stateLanes.forEach(({ now: lanes }, bit) => {
      const half = bit < HALF_BITS ? low : high;
      const shift = bit % HALF_BITS;
      for (let lane = 0; lane < this.#count; lane++) {
        const level = ((lanes[lane >> 5] as number) >>> (lane & 31)) & 1;
        half[lane] = (half[lane] as number) | (level << shift);
      }
    });
    for (let lane = 0; lane < this.#count; lane++) into[lane] = (high[lane] as number) * HALF + (low[lane] as number);
    return into;
  }

  #resize(words: number): void {
    this.#words = words;
    for (const section of this.#sections) section.resize(words);
    for (const net of this.#nets.values()) {
      net.now = new Int32Array(words);
      net.old = new Int32Array(words);
    }
    for (const driver of this.#drivers.values()) driver.value = new Int32Array(words);
  }

  #load(states: ArrayLike<number>): void {
    const low = new Int32Array(states.length);
    const high = new Int32Array(states.length);
    for (let lane = 0; lane < states.length; lane++) {
      const state = states[lane] as number;
      low[lane] = state % HALF;
      high[lane] = Math.floor(state / HALF);
    }
    this.#stateLanes.forEach(({ now: lanes }, bit) => {
      lanes.fill(0);
      const half = bit < HALF_BITS ? low : high;
      const shift = bit % HALF_BITS;
      for (let lane = 0; lane < states.length; lane++) {
        const level = ((half[lane] as number) >>> shift) & 1;
        lanes[lane >> 5] = (lanes[lane >> 5] as number) | (level << (lane & 31));
      }
    });
  }

  /** Lets levels act until nothing changes. What forces storage must have come to rest before it does. */
  #rest(): void {
    const most = 2 * (this.#sections.length + this.bits.length) + 8;
    for (const net of this.#nets.values()) {
      if (net.drivers.length > 0 && !this.#keptNets.has(net)) net.now.fill(0);
    }
    let rounds = 0;
    do {
      while (this.#passOn()) if (rounds++ > most * most) break;
    } while (this.#force() && rounds++ <= most * most);
    if (rounds > most * most) this.isUnsettled = true;
  }

  #force(): boolean {
    let changed = false;
    for (const section of this.#sections) if (section.force()) changed = true;
    return changed;
  }

  /** Brings every net to what its drivers show, one section after the other; whether that changed any. */
  #passOn(): boolean {
    let changed = false;
    for (const section of this.#sections) {
      for (const output of section.changedOutputs()) this.#drive(output);
      for (const { output } of section.outputs) {
        const driver = this.#drivers.get(output);
        if (driver && this.#show(driver.net)) changed = true;
      }
    }
    return changed;
  }

  #drive({ output, lastValue, lastEnable, enable }: LaneOutput): void {
    const driver = this.#drivers.get(output);
    if (!driver) return;
    driver.value = lastValue.slice();
    driver.enable = enable && lastEnable.slice();
  }

  /** All that happens at the next moment at which something does. */
  #moment(pending: Pending[]): void {
    let time = Infinity;
    for (const item of pending) if (item.time < time) time = item.time;
    const changed = new Set<LaneNet>();
    for (let i = 0; i < pending.length; i++) {
      const item = pending[i] as Pending;
      if (item.time !== time) continue;
      pending.splice(i--, 1);
      const { net, driver, value, enable } = item;
      if (driver) {
        driver.value = value;
        driver.enable = enable;
        if (this.#show(net)) changed.add(net);
      } else if (copyLanes(net.now, value, this.#words)) changed.add(net);
    }
    const sections = new Set<LaneSection>();
    for (const net of changed) {
      for (const section of net.readers) sections.add(section);
      if (this.watching && net.drivers.length > 0) {
        const level = ((net.now[0] as number) & 1) as 0 | 1;
        if (level !== ((net.old[0] as number) & 1)) this.watching.push({ time, net: net.id, level });
      }
    }
    for (const section of sections) {
      section.react();
      for (const output of section.changedOutputs()) {
        const driver = this.#drivers.get(output.output);
        if (!driver) continue;
        const value = output.lastValue.slice();
        const enable = output.enable && output.lastEnable.slice();
        pending.push({ time: time + output.output.delay, net: driver.net, driver, value, enable });
      }
    }
    for (const net of changed) net.old.set(net.now);
  }

  /** Brings a net to what its drivers make of it; whether that changed it. Where none drives, it keeps its level. */
  #show(net: LaneNet): boolean {
    const [only, second] = net.drivers;
    if (only && !second && !only.enable) return copyLanes(net.now, only.value, this.#words);
    let changed = 0;
    for (let word = 0; word < this.#words; word++) {
      let driven = 0;
      let high = 0;
      for (const { value, enable } of net.drivers) {
        const on = enable ? (enable[word] as number) : -1;
        driven |= on;
        high |= on & (value[word] as number);
      }
      const before = net.now[word] as number;
      const after = high | (before & ~driven);
      changed |= before ^ after;
      net.now[word] = after;
    }
    return changed !== 0;
  }
}

function fill(lanes: Int32Array, level: 0 | 1 | Int32Array): void {
  if (typeof level === "number") lanes.fill(level === 1 ? -1 : 0);
  else lanes.set(level);
}
