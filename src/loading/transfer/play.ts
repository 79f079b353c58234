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
  sent = 0;

  constructor(machine: Machine, path: WritePath, bytes: readonly SentByte[]) {
    this.#machine = machine;
    this.#bytes = bytes;
    this.#sender = new Sender(machine.circuit, path, machine.now + OFFSET_FS);
  }

  get isDone(): boolean {
    return this.sent >= this.#bytes.length;
  }

  /** Hands over the changes of all bytes that are to begin up to a time; the machine stands before it and goes on by itself. */
  driveUpTo(timeFs: number): void {
    while (!this.isDone && this.#sender.now <= timeFs) {
      const one = this.#bytes[this.sent++];
      if (one) this.#sender.send(one);
      drive(this.#machine, this.#sender.take());
    }
  }

  /** When the last change so far comes. */
  get until(): number {
    return this.#sender.now;
  }
}

export function drive(machine: Machine, changes: readonly PinChange[]): void {
  for (const { net, time, level } of changes) machine.drive(net, time, level);
}

/** Sends all bytes and waits until the last one is written. */
export function playAll(machine: Machine, path: WritePath, bytes: readonly SentByte[], settleFs: number): void {
  const transfer = new PlayedTransfer(machine, path, bytes);
  while (!transfer.isDone) {
    transfer.driveUpTo(transfer.until);
    machine.run(transfer.until);
  }
  machine.run(machine.now + settleFs);
}
