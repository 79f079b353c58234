import type { Circuit, NetId } from "../../circuit/index.js";
import { PinClock, type PinChange } from "./pin-clock.js";
import type { Level } from "./pins.js";
import { type WritePath, levelsFor, pulse } from "./write-path.js";

/** One byte to send. */
export interface SentByte {
  readonly address: number;
  readonly byte: number;
}

/** Sends bytes over a write path, each as early as the promises of the inputs allow. What a latch holds already is not sent. */
export class Sender {
  readonly #path: WritePath;
  readonly #clock: PinClock;
  /** Levels that each stage of the path that was used last was given, as text. */
  #latched: (string | undefined)[] = [];
  #last: WritePath | undefined;

  /** `others` are further ways on which something is sent meanwhile. */
  constructor(circuit: Circuit, path: WritePath, startFs = 0, others: readonly WritePath[] = []) {
    this.#path = path;
    this.#clock = new PinClock(circuit, path.rest, strobesOf(path, ...others));
    this.#clock.wait(startFs);
  }

  get now(): number {
    return this.#clock.now;
  }

  /** All changes so far that were not taken yet. */
  take(): readonly PinChange[] {
    return this.#clock.take();
  }

  /** Lets time pass, until a blanking. */
  waitUntil(timeFs: number): void {
    if (timeFs > this.#clock.now) this.#clock.wait(timeFs - this.#clock.now);
  }

  send({ address, byte }: SentByte, path = this.#path): void {
    // What goes another way may pass through the same latches.
    if (path !== this.#last) this.#latched = path.stages.map(() => undefined);
    this.#last = path;
    const levels = levelsFor(path, address, byte);
    for (const stage of stagesToSend(path, levels, this.#latched)) {
      const of = path.stages[stage];
      if (of) for (const one of levels[stage] ?? []) pulse(this.#clock, of, one);
    }
  }
}

/** The inputs that pulse on these ways. */
export function strobesOf(...paths: readonly WritePath[]): readonly NetId[] {
  return [...new Set(paths.flatMap(({ stages }) => stages.map(({ strobe }) => strobe.net)))];
}

/**
 * Numbers of the stages that a byte needs: a latch that holds its levels already is left out, and so is a strobe that takes over
 * what earlier stages hold where none of these is sent. `latched` is brought up to date.
 */
function stagesToSend(
  { stages, isFree }: WritePath,
  levels: ReturnType<typeof levelsFor>,
  latched: (string | undefined)[],
): readonly number[] {
  const sent: number[] = [];
  stages.forEach(({ pulses, held }, index) => {
    const own = levels[index] ?? [];
    const hasLines = own.some((one) => one.size > 0);
    const isLast = index === stages.length - 1 && !isFree;
    const text = own.map((one) => wordOf(one, held)).join(" ");
    const isHeld = pulses === 1 && hasLines && latched[index] === text;
    const takesNothing = !hasLines && index > 0 && sent.length === 0;
    if (!isLast && (isHeld || takesNothing)) return;
    sent.push(index);
    latched[index] = text;
  });
  return sent;
}

function wordOf(levels: ReadonlyMap<NetId, Level>, held: ReadonlyMap<NetId, Level>): string {
  return [...levels].map(([net, level]) => `${net}${held.has(net) ? "h" : ""}${level}`).join("");
}

/** Levels by which latches are told apart, most lasting first: in this order bytes are sent with the fewest changes of them. */
export function latchKey(path: WritePath, { address, byte }: SentByte): string {
  const levels = levelsFor(path, address, byte);
  return path.stages
    .slice(0, -1)
    .map(({ pulses, held }, index) => (pulses > 1 ? "" : wordOf(levels[index]?.[0] ?? new Map(), held)))
    .join("/");
}
