import type { NetId } from "../../circuit/circuit.js";
import { type Fs, longFs } from "../../quantity/index.js";
import type { InputPlayer } from "../input-player.js";
import { HIGH, LOW, VALUE } from "../value.js";
import type { Script, ScriptNumber, Step } from "./script.js";

/** One byte as the script means to write it, and when its write began, in femtoseconds. */
export interface MeantWrite {
  readonly address: number;
  readonly data: number;
  readonly at: Fs;
}

/** What the words of a script stand for at the moment. */
interface Known {
  readonly ADDRESS: number;
  readonly DATA: number;
  readonly BIT: number;
}

/** What the script waits for: a time, or an edge of a net. */
type Waiting =
  | { readonly kind: "until"; readonly time: Fs }
  | { readonly kind: "edge"; readonly net: NetId; readonly edge: "rise" | "fall" };

const NOTHING: Known = { ADDRESS: 0, DATA: 0, BIT: 0 };

/** Runs a script at the inputs of a simulated board, from a moment on. */
export class ScriptRun {
  /** Bytes whose writes have begun, in order. */
  readonly meant: MeantWrite[] = [];
  /** When the last step was done; absent while the script goes on. */
  ended?: Fs;
  readonly #simulator: InputPlayer;
  readonly #start: Fs;
  readonly #script: Script;
  readonly #waiting: Generator<Waiting, void>;
  /** The edge that is waited for. */
  #edge: { readonly net: NetId; readonly edge: "rise" | "fall" } | undefined;
  readonly #observed = new Set<NetId>();

  constructor(simulator: InputPlayer, script: Script, start: Fs) {
    this.#simulator = simulator;
    this.#start = start;
    this.#script = script;
    this.#waiting = this.#run(script.steps, NOTHING);
    simulator.at(start, () => this.#goOn(start));
  }

  /** Bytes that the script writes in all. */
  get bytes(): number {
    return this.#script.steps.reduce((sum, step) => (step.kind === "write" ? sum + step.bytes.length : sum), 0);
  }

  #now: Fs = longFs(0);

  #goOn(now: Fs): void {
    this.#now = now;
    const next = this.#waiting.next();
    if (next.done) {
      this.ended = now;
      return;
    }
    const waiting = next.value;
    if (waiting.kind === "until") {
      const time = longFs(Math.max(waiting.time, now));
      this.#simulator.at(time, () => this.#goOn(time));
      return;
    }
    this.#edge = waiting;
    if (this.#observed.has(waiting.net)) return;
    this.#observed.add(waiting.net);
    this.#simulator.observe(waiting.net, (time, word) => this.#seen(waiting.net, time, word & VALUE));
  }

  #seen(net: NetId, time: Fs, value: number): void {
    const { net: wanted, edge } = this.#edge ?? {};
    if (wanted !== net || value !== (edge === "rise" ? HIGH : LOW)) return;
    this.#edge = undefined;
    // The net's change is still being told to others; the script goes on right after it.
    this.#simulator.at(time, () => this.#goOn(time));
  }

  *#run(steps: readonly Step[], known: Known): Generator<Waiting, void> {
    for (const step of steps) {
      if (step.kind === "set") this.#set(step, known);
      else if (step.kind === "wait") yield { kind: "until", time: longFs(this.#now + step.time) };
      else if (step.kind === "until") yield { kind: "until", time: longFs(this.#start + step.time) };
      else if (step.kind === "after") yield { kind: "edge", net: step.net, edge: step.edge };
      else if (step.kind === "bits") yield* this.#bits(step, known);
      else yield* this.#write(step, known);
    }
  }

  *#bits({ of, first, last, steps }: Extract<Step, { kind: "bits" }>, known: Known): Generator<Waiting, void> {
    const by = last < first ? -1 : 1;
    for (let bit = first; bit !== last + by; bit += by) {
      yield* this.#run(steps, { ...known, BIT: Math.floor(known[of] / 2 ** bit) % 2 });
    }
  }

  *#write({ at, bytes }: Extract<Step, { kind: "write" }>, known: Known): Generator<Waiting, void> {
    for (const [index, data] of bytes.entries()) {
      this.meant.push({ address: at + index, data, at: this.#now });
      yield* this.#run(this.#script.write, { ...known, ADDRESS: at + index, DATA: data });
    }
  }

  #set({ nets }: Extract<Step, { kind: "set" }>, known: Known): void {
    for (const { nets: bus, to } of nets) {
      const value = numberOf(to, known);
      bus.forEach((net, bit) => {
        this.#simulator.drive(net, this.#now, Math.floor(value / 2 ** bit) % 2 === 0 ? LOW : HIGH);
      });
    }
  }
}

function numberOf(to: ScriptNumber, known: Known): number {
  return typeof to === "number" ? to : known[to];
}
