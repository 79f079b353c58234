import { runHalf } from "./half-period.js";
import { LaneUnit } from "./lane-unit.js";
import type { LogicNetId, LogicSection, LogicView } from "./logic-view.js";
import type { OutsideSignal } from "./outside-signal.js";
import { NotFollowed, TooManyToFollow } from "./not-followed.js";
import { OutsideWays } from "./outside-ways.js";

/** Joint states that are followed at once. */
const MOST_JOINT_STATES = 1 << 18;
/** Bits in which a release may be taken sooner or later. */
const MOST_MIXED_BITS = 10;

/** What is run together: all that it rests on included, so that it reads the oscillator, resets and the outside alone. */
export interface JointScope {
  readonly view: LogicView;
  readonly sections: readonly LogicSection[];
  readonly signals: readonly OutsideSignal[];
  readonly guessed: readonly LogicNetId[];
}

/** Whether resets act in a half period. */
export type Resets = "active" | "released";

/**
 * Sections that are run together from sets of states. A state is that of the sections and, above it, that of the signals
 * from outside.
 */
export class Joint {
  readonly unit: LaneUnit;
  readonly ways: OutsideWays;
  readonly sectionStates: number;
  /** Nets that are looked at whenever all is at rest, and whether one of them was high. */
  watched: readonly LogicNetId[] = [];
  hasSeenHigh = false;
  readonly #scope: JointScope;
  readonly #activeLevel: ReadonlyMap<LogicNetId, 0 | 1>;
  readonly #oscillator: readonly LogicNetId[];

  /** Throws NotFollowed, also where it reads what is not in the scope. */
  constructor(scope: JointScope) {
    this.#scope = scope;
    this.unit = new LaneUnit(scope.view, scope.sections);
    this.ways = new OutsideWays(scope.signals, scope.guessed.length);
    this.sectionStates = 2 ** this.unit.bits.length;
    if (this.sectionStates * this.ways.stateCount > Number.MAX_SAFE_INTEGER) {
      throw new TooManyToFollow(`${this.unit.bits.length} bits at once`);
    }
    this.#activeLevel = new Map(scope.view.resets.map(({ net, active }) => [net, active]));
    this.#oscillator = scope.view.nets.filter(({ isOscillator }) => isOscillator).map(({ id }) => id);
    const given = new Set([
      ...this.#activeLevel.keys(),
      ...this.#oscillator,
      ...scope.signals.map(({ net }) => net),
      ...scope.guessed,
    ]);
    const other = this.unit.inputs.find((net) => !given.has(net) && scope.view.nets[net]?.constant === undefined);
    if (other !== undefined) throw new NotFollowed(`under reset it follows ${scope.view.nets[other]?.name ?? "more"}`);
  }

  /** All that some states can become in one oscillator period. */
  period(states: Float64Array, resets: Resets): Float64Array {
    return this.#aged(this.#half(this.#half(states, 0, resets), 1, resets));
  }

  /**
   * All that some states can become in the period in which the resets are let go: before either edge of the oscillator, or
   * so near to one that each flip-flop takes it by itself at that edge or not.
   */
  releasing(states: Float64Array): Float64Array {
    const first = this.#half(this.#mixed(states, 0), 1, "released");
    const second = this.#mixed(this.#half(states, 0, "active"), 1);
    return distinct([...this.#aged(first), ...this.#aged(second)]);
  }

  #aged(states: Float64Array): Float64Array {
    if (this.#scope.signals.length === 0) return states;
    return distinct(
      states.map((state) => {
        const outside = this.ways.aged(Math.floor(state / this.sectionStates));
        return (state % this.sectionStates) + outside * this.sectionStates;
      }),
    );
  }

  #half(states: Float64Array, half: 0 | 1, resets: Resets): Float64Array {
    return distinct(this.#plays(states).flatMap((lanes) => this.#run(lanes, half, resets)));
  }

  #mixed(states: Float64Array, half: 0 | 1): Float64Array {
    return distinct(
      this.#plays(states).flatMap((lanes) => {
        const early = this.#run(lanes, half, "released");
        const late = this.#run(lanes, half, "active");
        return early.flatMap((state, lane) => mixtures(state, late[lane] ?? state));
      }),
    );
  }

  /** States by what comes from outside next; above each the state in which that leaves the signals. */
  #plays(states: Float64Array): readonly Lanes[] {
    const found = new Map<number, { sections: number[]; outside: number[] }>();
    let count = 0;
    for (const state of states) {
      for (const { play, state: outside } of this.ways.ways(Math.floor(state / this.sectionStates), false)) {
        const lanes = found.get(play) ?? { sections: [], outside: [] };
        lanes.sections.push(state % this.sectionStates);
        lanes.outside.push(outside);
        found.set(play, lanes);
        if (++count > MOST_JOINT_STATES)
          throw new TooManyToFollow(`more than ${MOST_JOINT_STATES.toLocaleString("en")} states at once`);
      }
    }
    return [...found].map(([play, lanes]) => ({ play, ...lanes }));
  }

  #look(lanes: number): void {
    for (const net of this.watched) {
      const levels = this.unit.levels(net);
      if (!levels) continue;
      for (let lane = 0; lane < lanes; lane++) {
        if (((levels[lane >> 5] as number) >>> (lane & 31)) & 1) this.hasSeenHigh = true;
      }
    }
  }

  #run({ play, sections, outside }: Lanes, half: 0 | 1, resets: Resets): number[] {
    const before = half as 0 | 1;
    const level = (net: LogicNetId): 0 | 1 => {
      const active = this.#activeLevel.get(net);
      if (active === undefined) return before;
      return resets === "active" ? active : active === 1 ? 0 : 1;
    };
    const changes = this.#oscillator.map((net) => ({
      time: 0,
      net,
      level: before === 0 ? (1 as const) : (0 as const),
    }));
    const played = this.ways.plays[play] ?? { before: 0, after: 0 };
    runHalf(this.unit, sections, { level, changes }, this.#scope, played, () => this.#look(sections.length));
    if (this.unit.isUnsettled) throw new TooManyToFollow("it does not come to rest");
    const ends = this.unit.states(new Float64Array(sections.length));
    return Array.from(ends, (end, lane) => end + (outside[lane] ?? 0) * this.sectionStates);
  }
}

interface Lanes {
  readonly play: number;
  readonly sections: readonly number[];
  readonly outside: readonly number[];
}

/** All states that agree with one of two in every bit. */
function mixtures(a: number, b: number): number[] {
  let found = [a];
  let mixed = 0;
  for (let weight = 1; weight <= Math.max(a, b); weight *= 2) {
    const [inA, inB] = [Math.floor(a / weight) % 2, Math.floor(b / weight) % 2];
    if (inA === inB) continue;
    if (++mixed > MOST_MIXED_BITS) throw new TooManyToFollow(`a release that more than ${MOST_MIXED_BITS} bits see`);
    found = [...found, ...found.map((state) => state + (inB - inA) * weight)];
  }
  return found;
}

/** The different ones of some numbers, in order. */
export function distinct(numbers: Iterable<number>): Float64Array {
  return Float64Array.from(new Set(numbers)).sort();
}
