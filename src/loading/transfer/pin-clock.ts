import type { Circuit, InputTiming, NetId } from "../../circuit/index.js";
import type { Level } from "./pins.js";

/** A change of one input, in femtoseconds. */
export interface PinChange {
  readonly net: NetId;
  readonly level: Level;
  readonly time: number;
}

interface Pin {
  level: Level;
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

  /** `strobes` are the inputs that pulse. */
  constructor({ inputs }: Circuit, levels: ReadonlyMap<NetId, Level>, strobes: Iterable<NetId>) {
    this.#strobes = new Set(strobes);
    for (const { net, timing } of inputs) {
      this.#pins.set(net, { level: levels.get(net) ?? 0, rise: -Infinity, fall: -Infinity, timing, lines: [] });
    }
    for (const { net, timing } of inputs) {
      const pin = this.#pins.get(net);
      if (timing.kind !== "steady around" || !pin) continue;
      this.#pins.get(timing.net)?.lines.push({ pin, edge: timing.edge, before: timing.before });
    }
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
