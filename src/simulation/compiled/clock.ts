import type { OutsideChange } from "./step-code.js";
import type { OscillatorChoice } from "./oscillators.js";

/** One oscillator in time. Edge `n` comes at a whole number of periods from the first, so nothing adds up. */
export class Clock {
  readonly source: number;
  /** Edges that have come. */
  edges = 0;
  private readonly choice: OscillatorChoice;
  private readonly rise: OutsideChange;
  private readonly fall: OutsideChange;

  constructor(source: number, choice: OscillatorChoice) {
    this.source = source;
    this.choice = choice;
    this.rise = { source, edge: 0 };
    this.fall = { source, edge: 1 };
  }

  get period(): number {
    return this.choice.period;
  }

  get high(): number {
    return this.choice.high;
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

  /** The next edge, as a change from outside. */
  get nextChange(): OutsideChange {
    return this.nextEdge === 0 ? this.rise : this.fall;
  }

  /** Edges that have come at this time, those at it included. */
  edgesUpTo(time: number): number {
    const { start, period, high } = this.choice;
    if (time < start) return 0;
    const periods = Math.floor((time - start) / period);
    let edges = 2 * periods + (time - start - periods * period >= high ? 2 : 1);
    // After some seconds a double no longer holds every femtosecond, and what divides out may not be what adds up.
    while (this.timeOf(edges) <= time) edges++;
    while (edges > 0 && this.timeOf(edges - 1) > time) edges--;
    return edges;
  }
}
