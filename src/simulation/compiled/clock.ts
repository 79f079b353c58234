import type { OscillatorChoice } from "./oscillators.js";

/** One oscillator in time. Edge `n` comes at a whole number of periods from the first, so nothing adds up. */
export class Clock {
  readonly source: number;
  /** Edges that have come. */
  edges = 0;
  private readonly choice: OscillatorChoice;

  constructor(source: number, choice: OscillatorChoice) {
    this.source = source;
    this.choice = choice;
  }

  timeOf(edge: number): number {
    const { start, period, high } = this.choice;
    return start + Math.floor(edge / 2) * period + (edge % 2 === 1 ? high : 0);
  }

  get nextTime(): number {
    return this.timeOf(this.edges);
  }

  get nextEdge(): 0 | 1 {
    return (this.edges & 1) as 0 | 1;
  }

  /** Edges that have come at this time, those at it included. */
  edgesUpTo(time: number): number {
    const { start, period, high } = this.choice;
    if (time < start) return 0;
    const periods = Math.floor((time - start) / period);
    return 2 * periods + (time - start - periods * period >= high ? 2 : 1);
  }
}
