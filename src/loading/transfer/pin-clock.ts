import type { Circuit, InputTiming, NetId } from "../../circuit/index.js";
import type { Beat } from "./beat.js";
import type { Level } from "./pins.js";

/** A change of one input, in femtoseconds. */
export interface PinChange {
  readonly net: NetId;
  readonly level: Level;
  readonly time: number;
}

interface Pin {
  level: Level;
  /** What it has while nothing happens. */
  readonly rest: Level;
  /** When it last rose, fell and changed at all. */
  rise: number;
  fall: number;
  readonly timing: InputTiming;
  /** Inputs that are to be steady around an edge of this one. */
  readonly lines: readonly { readonly pin: Pin; readonly edge: "rise" | "fall"; readonly before: number }[];
}

/** What a strobe's edge is apart from the change before it and behind it, in femtoseconds: who sets pins does it in turn. */
const STEP_FS = 1000;
/** What edges of two strobes, or a strobe's two edges, are apart where the file does not relate them: 100 ns. Our own choice. */
const APART_FS = 100_000_000;

/**
 * Sets inputs one after the other, each as early as the circuit file's promises allow: a strobe's least high, low and repeat
 * times, and the time for which others stand before and after its edge. All promises have the form "not before that change plus
 * so long", so the earliest time of each in turn is the least time of them all in this order.
 */
export class PinClock {
  now = 0;
  readonly changes: PinChange[] = [];
  readonly #pins = new Map<NetId, Pin & { lines: Pin["lines"][number][] }>();
  #lastWasStrobe = false;
  /** The strobe that pulsed last. */
  #strobe: Pin | undefined;

  readonly #strobes: ReadonlySet<NetId>;
  /** When the last cycle ended, and where among the changes those begin with which it did. */
  #closed = { at: -1, from: 0 };

  /** `strobes` are the inputs that pulse. */
  constructor({ inputs }: Circuit, levels: ReadonlyMap<NetId, Level>, strobes: Iterable<NetId>) {
    this.#strobes = new Set(strobes);
    for (const { net, timing } of inputs) {
      const level = levels.get(net) ?? 0;
      this.#pins.set(net, { level, rest: level, rise: -Infinity, fall: -Infinity, timing, lines: [] });
    }
    for (const { net, timing } of inputs) {
      const pin = this.#pins.get(net);
      if (timing.kind !== "steady around" || !pin) continue;
      this.#pins.get(timing.net)?.lines.push({ pin, edge: timing.edge, before: timing.before });
    }
  }

  /** All changes so far that were not taken yet. */
  take(): readonly PinChange[] {
    this.#closed = { at: -1, from: 0 };
    return this.changes.splice(0);
  }

  levelOf(net: NetId): Level {
    return this.#pins.get(net)?.level ?? 0;
  }

  /** Lets time pass. */
  wait(timeFs: number): void {
    this.now += timeFs;
  }

  /** Sets an input as soon as it may change, but not before what was set last; nothing where it has that level. */
  set(net: NetId, level: Level): void {
    const pin = this.#pins.get(net);
    if (!pin || pin.level === level) return;
    const isStrobe = this.#strobes.has(net);
    const gap = isStrobe || this.#lastWasStrobe ? STEP_FS : 0;
    let time = Math.max(this.now + gap, this.#earliest(pin, level));
    if (isStrobe) {
      const last = this.#strobe;
      // An input that is promised against another edge has no least width of its own.
      const isRelated = last === pin ? pin.timing.kind === "any time" : pin.timing.kind !== "any time";
      if (last && !isRelated) time = Math.max(time, Math.max(last.rise, last.fall) + APART_FS);
      this.#strobe = pin;
    }
    this.#lastWasStrobe = isStrobe;
    pin.level = level;
    if (level === 1) pin.rise = time;
    else pin.fall = time;
    this.now = time;
    this.changes.push({ net, level, time });
  }

  /**
   * Sets inputs for one cycle of a bus that the board clocks, each as late behind its edge as it may be, from the next edge on
   * with which most of them go. What is held for the cycle goes back to what it was as the cycle ends, but where the next one
   * begins there and then.
   */
  cycle(beat: Beat, lines: ReadonlyMap<NetId, Level>, held: ReadonlyMap<NetId, Level>): void {
    const levels = [...held, ...lines].flatMap(([net, level]) => {
      const pin = this.#pins.get(net);
      const timing = pin?.timing;
      if (!pin || (timing?.kind !== "after" && timing?.kind !== "steady around")) return [];
      return [{ net, pin, level, edge: timing.edge, delay: timing.kind === "after" ? timing.delay.max : timing.after }];
    });
    const falls = levels.filter(({ edge }) => edge === "fall").length;
    const begins = 2 * falls >= levels.length ? "fall" : "rise";
    const first = nextEdge(beat, begins, this.now);
    const times = {
      [begins]: first,
      [begins === "fall" ? "rise" : "fall"]: nextEdge(beat, begins === "fall" ? "rise" : "fall", first),
    };
    const change = (net: NetId, pin: Pin, level: Level, time: number) => {
      if (pin.level === level) return;
      pin.level = level;
      this.changes.push({ net, level, time });
    };
    if (Math.abs(first - this.#closed.at) < 1) this.#reopen();
    for (const { net, pin, level, edge, delay } of levels) change(net, pin, level, (times[edge] ?? first) + delay);
    this.now = first + beat.period;
    this.#closed = { at: this.now, from: this.changes.length };
    for (const { net, pin, delay } of levels) {
      if (held.has(net)) change(net, pin, pin.rest, this.now + delay);
    }
  }

  /** Takes back that inputs were let go, as far as nobody was told yet. */
  #reopen(): void {
    for (const { net, level } of this.changes.splice(this.#closed.from)) {
      const pin = this.#pins.get(net);
      if (pin) pin.level = level === 1 ? 0 : 1;
    }
  }

  #earliest(pin: Pin, level: Level): number {
    const { timing } = pin;
    let earliest = -Infinity;
    if (timing.kind === "any time") {
      const [sameEdge, otherEdge] = level === 1 ? [pin.rise, pin.fall] : [pin.fall, pin.rise];
      const least = level === 1 ? timing.leastLow : timing.leastHigh;
      earliest = Math.max(otherEdge + least, sameEdge + timing.leastRepeat);
    } else if (timing.kind === "steady around" || timing.kind === "after") {
      const reference = this.#pins.get(timing.net);
      const edge = timing.edge === "rise" ? reference?.rise : reference?.fall;
      if (edge !== undefined) earliest = edge + (timing.kind === "after" ? timing.delay.min : timing.after);
    }
    for (const { pin: line, edge, before } of pin.lines) {
      if ((edge === "rise") !== (level === 1)) continue;
      earliest = Math.max(earliest, Math.max(line.rise, line.fall) + before);
    }
    return earliest;
  }
}

/** The first edge of a kind at or after a time. */
function nextEdge({ period, rise, fall }: Beat, edge: "rise" | "fall", time: number): number {
  const one = edge === "rise" ? rise : fall;
  // A femtosecond by which sums differ is no cycle.
  return one + Math.ceil((time - 1 - one) / period) * period;
}
