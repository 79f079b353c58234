import type { Machine } from "../../simulation/index.js";
import { type SentByte, Sender } from "./sender.js";
import type { PinChange } from "./pin-clock.js";
import type { WritePath } from "./write-path.js";

/** Odd, so that a change of an input does not fall on an edge of an oscillator. */
const OFFSET_FS = 1_137_311;

/**
 * Sends bytes to a circuit that runs: byte after byte, so that it can be looked at meanwhile. `next` sends one more byte's
 * changes; time goes on to them.
 */
export class PlayedTransfer {
  readonly #machine: Machine;
  readonly #sender: Sender;
  readonly #bytes: readonly SentByte[];
  readonly #everyFs: number;
  readonly #begin: number;
  /** When each byte's last change comes. */
  readonly #ends: number[] = [];
  sent = 0;

  /** `everyFs` lies between the begins of two bytes at least: a processor that is slower than the promises allow. */
  constructor(machine: Machine, path: WritePath, bytes: readonly SentByte[], everyFs = 0) {
    this.#machine = machine;
    this.#bytes = bytes;
    this.#everyFs = everyFs;
    this.#begin = machine.now + OFFSET_FS;
    this.#sender = new Sender(machine.circuit, path, this.#begin);
  }

  get isDone(): boolean {
    return this.sent >= this.#bytes.length;
  }

  /** Hands over the changes of all bytes that are to begin up to a time; the machine stands before it and goes on by itself. */
  driveUpTo(timeFs: number): void {
    while (!this.isDone && this.#sender.now <= timeFs) {
      const one = this.#bytes[this.sent++];
      if (one) this.#sender.send(one);
      this.#ends.push(this.#sender.now);
      drive(this.#machine, this.#sender.take());
      this.#sender.waitUntil(this.#begin + this.sent * this.#everyFs);
    }
  }

  /** When the last change so far comes. */
  get until(): number {
    return this.#ends.at(-1) ?? this.#machine.now;
  }

  /** How many bytes are sent by a time. */
  sentBy(timeFs: number): number {
    let count = this.#ends.length;
    while (count > 0 && (this.#ends[count - 1] ?? 0) > timeFs) count--;
    return count;
  }
}

export function drive(machine: Machine, changes: readonly PinChange[]): void {
  for (const { net, time, level } of changes) machine.drive(net, time, level);
}

/** Sends all bytes and waits until the last one is written. */
export function playAll(machine: Machine, path: WritePath, bytes: readonly SentByte[], settleFs: number): void {
  const transfer = new PlayedTransfer(machine, path, bytes);
  while (!transfer.isDone) {
    transfer.driveUpTo(transfer.until + 2 * OFFSET_FS);
    machine.run(transfer.until);
  }
  machine.run(machine.now + settleFs);
}
