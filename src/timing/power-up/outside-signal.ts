import type { InputTiming } from "../../circuit/index.js";
import type { Edge } from "../../parts/index.js";
import type { Fs, Range } from "../../quantity/index.js";
import { type LogicNetId, type LogicSection, netNamed } from "./logic-view.js";
import { namesOf } from "./fold.js";

/**
 * A signal from outside that may change at any time, as far as its least times allow, in whole oscillator periods. Its states
 * are numbered; an edge may come before either edge of the oscillator.
 */
export interface OutsideSignal {
  readonly net: LogicNetId;
  readonly stateCount: number;
  /** Where it has been quiet for long. */
  readonly quiet: number;
  /** The level at a state, and the level and state right after an edge; no `after` where none may come yet. */
  readonly at: (state: number) => {
    readonly level: 0 | 1;
    readonly after?: { readonly level: 0 | 1; readonly state: number };
  };
  /** An oscillator period later. */
  readonly aged: (state: number) => number;
  /** The level goes back by itself within the half period: only the one edge matters. */
  readonly isPulse: boolean;
}

type AnyTime = Extract<InputTiming, { kind: "any time" }>;

/** The signal as sections that read it need to know it. */
export function outsideSignal(
  net: LogicNetId,
  timing: AnyTime,
  period: Range<Fs>,
  readers: readonly LogicSection[],
): OutsideSignal {
  const ticks = (time: number) => Math.floor(time / period.max);
  const edge = onlyEdge(net, readers);
  const { leastHigh, leastLow, leastRepeat } = timing;
  if (edge) {
    const wait = ticks(Math.max(leastRepeat, leastHigh + leastLow));
    const [rest, other] = edge === "rise" ? ([0, 1] as const) : ([1, 0] as const);
    return {
      net,
      stateCount: wait + 1,
      quiet: wait,
      at: (state) => ({ level: rest, ...(state >= wait && { after: { level: other, state: 0 } }) }),
      aged: (state) => Math.min(wait, state + 1),
      isPulse: true,
    };
  }
  const [high, low, repeat] = [ticks(leastHigh), ticks(leastLow), ticks(Math.max(leastRepeat, leastHigh + leastLow))];
  const most = Math.max(high, repeat) + 1;
  // While it is high: how long ago it rose. While it is low: that, and how long ago it fell.
  const whileLow = (rose: number, fell: number) => most + rose * (low + 1) + fell;
  return {
    net,
    stateCount: most + most * (low + 1),
    quiet: most - 1,
    at(state) {
      if (state < most) {
        return { level: 1, ...(state >= high && { after: { level: 0, state: whileLow(state, 0) } }) };
      }
      const [rose, fell] = [Math.floor((state - most) / (low + 1)), (state - most) % (low + 1)];
      return { level: 0, ...(fell >= low && rose >= repeat && { after: { level: 1, state: 0 } }) };
    },
    aged(state) {
      if (state < most) return Math.min(most - 1, state + 1);
      const [rose, fell] = [Math.floor((state - most) / (low + 1)), (state - most) % (low + 1)];
      return whileLow(Math.min(most - 1, rose + 1), Math.min(low, fell + 1));
    },
    isPulse: false,
  };
}

/** The signal without any edge: at the level that it has had for long. */
export function stillSignal({ net, quiet, at, isPulse }: OutsideSignal): OutsideSignal {
  const { level } = at(quiet);
  return { net, stateCount: 1, quiet: 0, at: () => ({ level }), aged: () => 0, isPulse };
}

/** The edge at which all readers are clocked, where none of them reads the signal in any other way. */
function onlyEdge(net: LogicNetId, readers: readonly LogicSection[]): Edge | undefined {
  const edges = new Set<Edge | "both">();
  for (const { storage, outputs } of readers) {
    const elsewhere = [
      ...storage.flatMap((bit) => [
        bit.next,
        ...(bit.kind === "latch" ? [bit.open] : []),
        ...bit.overrides.flatMap(({ when, value }) => [when, value]),
      ]),
      ...outputs.flatMap(({ value, enable }) => (enable ? [value, enable] : [value])),
    ];
    if (elsewhere.some((expression) => namesOf(expression).some((name) => netNamed(name) === net))) return undefined;
    for (const bit of storage) {
      if (bit.kind !== "register" || !namesOf(bit.clock).includes(String(net))) continue;
      const { clock } = bit;
      edges.add(clock.kind === "name" ? "rise" : clock.kind === "not" && clock.of.kind === "name" ? "fall" : "both");
    }
  }
  const [only, another] = edges;
  return another || only === "both" ? undefined : only;
}
