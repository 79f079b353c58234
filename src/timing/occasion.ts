import type { Fs, Range } from "../quantity/index.js";

/** The size of the raster that a circuit is meant to meet. */
export interface FrameShape {
  readonly lineTime: Fs;
  /** Dots of a line and lines of a frame, blanking included. */
  readonly dots: number;
  readonly lines: number;
}

/** When something happens. */
export interface Occasion {
  /** Oscillator periods from power-up, where every counter stands at zero. */
  readonly tick: number;
  /** Oscillator periods from where the cycle begins; what happens before is carried forward by one cycle. */
  readonly tickInCycle: number;
  /** From 0 in both ways, counted from power-up; absent where the circuit does not run in lines of the raster. */
  readonly line?: number;
  readonly dot?: number;
  /** `line 12, dot 345`, else `period 1,234 of 420,000`. */
  readonly text: string;
}

/** The oscillator periods in which a circuit runs. */
export interface Cycle {
  readonly leadTicks: number;
  readonly cycleTicks: number;
  readonly lineTicks?: number;
  readonly shape?: FrameShape;
}

/** Lines may last this much longer or shorter than the raster's and still be its lines. */
const LINE_TOLERANCE = 0.05;

/** A cycle that is one or more whole frames of the raster is told in lines and dots, any other in oscillator periods. */
export function cycleOf(leadTicks: number, cycleTicks: number, period: Range<Fs>, shape?: FrameShape): Cycle {
  if (!shape) return { leadTicks, cycleTicks };
  const expected = (2 * shape.lineTime) / (period.min + period.max);
  const frames = Math.round(cycleTicks / (expected * shape.lines));
  const lineTicks = cycleTicks / (frames * shape.lines);
  const isFrame = Number.isInteger(lineTicks) && Math.abs(lineTicks / expected - 1) <= LINE_TOLERANCE;
  return { leadTicks, cycleTicks, ...(isFrame && { lineTicks, shape }) };
}

/** Says when a tick is, counted from power-up. */
export function occasionAt(tick: number, { leadTicks, cycleTicks, lineTicks, shape }: Cycle): Occasion {
  const tickInCycle = (((tick - leadTicks) % cycleTicks) + cycleTicks) % cycleTicks;
  if (lineTicks === undefined || !shape) {
    const text = `period ${tickInCycle.toLocaleString("en")} of ${cycleTicks.toLocaleString("en")}`;
    return { tick, tickInCycle, text };
  }
  const line = Math.floor(tick / lineTicks) % shape.lines;
  const dot = Math.floor(((tick % lineTicks) * shape.dots) / lineTicks);
  return { tick, tickInCycle, line, dot, text: `line ${line}, dot ${dot}` };
}
