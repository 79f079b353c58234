import type { Circuit, ExternalInput, InputTiming, NetId } from "../circuit/circuit.js";
import { type Fs, fs, longFs, ns } from "../quantity/index.js";
import { type Random, randomStream } from "./random.js";
import type { InputPlayer } from "./input-player.js";
import { HIGH, LOW, VALUE, type Value } from "./value.js";

/** What comes from outside. */
export interface Outside {
  /**
   * "quiet": inputs rest, but for the release at power-up. A seed: they change at random inside their declared times, now and
   * then at the very limits.
   */
  readonly activity: "quiet" | { readonly seed: number };
  /**
   * Longest that an input stays active at power-up, in place of its declared least time where that is longer: a reset of
   * 100 ms is six frames in which nothing happens. As declared when absent.
   */
  readonly longestReset?: Fs;
}

/** A reset long enough for hundreds of clocks, and nothing beside a frame: 10 µs. Our own choice. */
export const SHORT_RESET = fs(10_000_000_000);

/** Inputs of a circuit, ready to be joined to a simulator. */
export interface PlannedInputs {
  /** For the simulator's options. */
  readonly first: ReadonlyMap<NetId, Value>;
  /** When the last input that is active only at power-up is released; 0 where there is none. */
  readonly released: Fs;
  /** Inputs that were released earlier than declared. */
  readonly shortened: readonly NetId[];
  /** The releases themselves. */
  readonly releases: readonly { readonly net: NetId; readonly time: Fs; readonly value: Value }[];
  /** Lets the inputs act on a simulator that stands at power-up: releases them, and plays at them. */
  attach(simulator: InputPlayer): void;
  /** Only plays at them from now on, at random where that was asked for. */
  play(simulator: InputPlayer): void;
}

/** Least times where a circuit file states none: an input that changes without end would stop the simulation. */
const LEAST_PHASE = ns(100);
/** How often, of all choices, a random time is the very limit of what is allowed. */
const AT_LIMIT = 0.25;

/** Plans what comes from outside from the times that the circuit declares. */
export function planInputs(circuit: Circuit, { activity, longestReset }: Outside): PlannedInputs {
  const resting = circuit.masters.flatMap((master) => master.resting);
  const first = new Map<NetId, Value>([
    ...circuit.inputs.map((input) => [input.net, restOf(circuit, input)] as const),
    ...resting.map(({ net, level }) => [net, level] as const),
  ]);
  const resets = circuit.inputs.flatMap(({ net, timing }) =>
    timing.kind === "power-up only"
      ? [{ net, ...timing, end: fs(Math.min(timing.least, longestReset ?? timing.least)) }]
      : [],
  );
  const releases = resets.map(
    ({ net, active, end }) => ({ net, time: end, value: active === "low" ? HIGH : LOW }) as const,
  );
  return {
    first,
    released: fs(Math.max(0, ...resets.map(({ end }) => end))),
    shortened: resets.filter(({ end, least }) => end < least).map(({ net }) => net),
    releases,
    attach(simulator) {
      for (const { net, time, value } of releases) simulator.drive(net, time, value);
      this.play(simulator);
    },
    play(simulator) {
      if (activity !== "quiet") attachRandom(simulator, circuit.inputs, first, activity.seed);
    },
  };
}

/** The level at which an input rests: active at power-up, else high where the name ends in `#`. */
function restOf({ nets }: Circuit, { net, timing, by }: ExternalInput): 0 | 1 {
  if (by) return by.rest;
  if (timing.kind === "power-up only") return timing.active === "low" ? LOW : HIGH;
  return nets[net]?.name.endsWith("#") ? HIGH : LOW;
}

function attachRandom(
  simulator: InputPlayer,
  inputs: readonly ExternalInput[],
  first: ReadonlyMap<NetId, Value>,
  seed: number,
): void {
  // Those that come at any time plan ahead, so that others can be steady around edges which are still to come.
  const free = new Map<NetId, FreeInput>();
  inputs.forEach(({ net, timing }, index) => {
    if (timing.kind !== "any time") return;
    const rest = first.get(net) === HIGH ? HIGH : LOW;
    free.set(net, new FreeInput(simulator, net, timing, rest, randomStream(`input ${index}`, seed)));
  });
  inputs.forEach(({ net, timing }, index) => {
    const random = randomStream(`input ${index}`, seed);
    if (timing.kind === "steady around") attachSteady(simulator, net, timing, free.get(timing.net), random);
    if (timing.kind === "after") attachAfter(simulator, net, timing, random);
  });
  for (const input of free.values()) input.begin();
}

/** One pulse of an input that comes at any time, in femtoseconds. */
interface Pulse {
  readonly begin: number;
  readonly end: number;
}

/** An input that pulses at any time: each pulse and each rest at least as long as declared. */
class FreeInput {
  private readonly simulator: InputPlayer;
  private readonly net: NetId;
  private readonly rest: 0 | 1;
  private readonly random: Random;
  private readonly leastPulse: number;
  private readonly leastRest: number;
  private readonly leastCycle: number;
  /** In order; always at least one that has not begun is planned. */
  private planned: Pulse[] = [];

  constructor(
    simulator: InputPlayer,
    net: NetId,
    timing: InputTiming & { kind: "any time" },
    rest: 0 | 1,
    random: Random,
  ) {
    this.simulator = simulator;
    this.net = net;
    this.rest = rest;
    this.random = random;
    const [high, low] = [Math.max(timing.leastHigh, LEAST_PHASE), Math.max(timing.leastLow, LEAST_PHASE)];
    [this.leastPulse, this.leastRest] = rest === HIGH ? [low, high] : [high, low];
    this.leastCycle = Math.max(timing.leastRepeat, high + low);
    this.plan();
  }

  /** The next edge of that kind later than now. */
  nextEdge(edge: "rise" | "fall"): number {
    const beginsPulse = (edge === "rise") === (this.rest === LOW);
    const edges = this.planned.map(({ begin, end }) => (beginsPulse ? begin : end));
    return edges.find((time) => time > this.simulator.now) ?? Infinity;
  }

  /** Drives the pulse planned last, and as it begins plans and drives the one after it. */
  begin(): void {
    const pulse = this.planned.at(-1);
    if (!pulse) return;
    this.simulator.drive(this.net, longFs(pulse.begin), this.rest === HIGH ? LOW : HIGH);
    this.simulator.drive(this.net, longFs(pulse.end), this.rest);
    this.plan();
    this.simulator.at(longFs(pulse.begin), () => this.begin());
  }

  private plan(): void {
    const last = this.planned.at(-1);
    const longest = Math.max(2 * this.leastPulse, this.leastCycle - this.leastRest);
    const length = between(this.random, this.leastPulse, longest);
    // From begin to begin and from end to end, pulses keep the least repeat time.
    const earliest = last
      ? Math.max(last.end + this.leastRest, last.begin + this.leastCycle, last.end + this.leastCycle - length)
      : this.simulator.now + this.leastRest;
    const begin = earliest + between(this.random, 0, this.leastCycle);
    const end = begin + length;
    this.planned = [...this.planned.filter((pulse) => pulse.end > this.simulator.now), { begin, end }];
  }
}

/** New data once for each edge, in the time in which they need not be steady. */
function attachSteady(
  simulator: InputPlayer,
  net: NetId,
  { net: reference, edge, before, after }: InputTiming & { kind: "steady around" },
  free: FreeInput | undefined,
  random: Random,
): void {
  let shortest = Infinity;
  let last = -Infinity;
  onEdge(simulator, reference, edge, (time) => {
    shortest = Math.min(shortest, time - last);
    last = time;
    // Of a net inside the circuit the next edge is not known; it is taken to come as soon as one ever came.
    const next = free?.nextEdge(edge) ?? (Number.isFinite(shortest) ? time + shortest : time);
    // What need not stand until the edge itself may have changed before it; it is changed after it here.
    const [from, to] = [time + Math.max(0, after) + 1, next - before - 1];
    simulator.drive(net, longFs(to > from ? between(random, from, to) : from), coin(random));
  });
}

function attachAfter(
  simulator: InputPlayer,
  net: NetId,
  { net: reference, edge, delay }: InputTiming & { kind: "after" },
  random: Random,
): void {
  onEdge(simulator, reference, edge, (time) => {
    simulator.drive(net, longFs(time + between(random, delay.min, delay.max)), coin(random));
  });
}

function onEdge(simulator: InputPlayer, net: NetId, edge: "rise" | "fall", act: (time: number) => void): void {
  simulator.observe(net, (time, word) => {
    if ((word & VALUE) === (edge === "rise" ? HIGH : LOW)) act(time);
  });
}

/** A whole number in a range, its ends rather often. */
function between(random: Random, from: number, to: number): number {
  const luck = random();
  if (luck < AT_LIMIT / 2) return from;
  if (luck > 1 - AT_LIMIT / 2) return to;
  return Math.round(from + random() * (to - from));
}

function coin(random: Random): 0 | 1 {
  return random() < 0.5 ? LOW : HIGH;
}
