import { type Fs, fs } from "../quantity/index.js";
import { type Change, type Delay, type Edge, type Figures, type Source, isMissing } from "./figures.js";

/** What a builder measured of one arc of one chip, its uncertainty within the limits. */
export interface MeasuredDelay {
  readonly from: string;
  readonly edge: Edge;
  readonly to: string;
  readonly change: Change;
  readonly min: Fs;
  readonly max: Fs;
  readonly source: Source;
}

/**
 * The limits of an arc that was measured: what the sheet and the measurement both allow. The sheet's own limits stay beside
 * them, because a net's load widens those and not what was measured under that load. Throws RangeError where the two have
 * nothing in common.
 */
export function narrowed(sheet: Delay, measured: MeasuredDelay): Delay {
  const min = fs(Math.max(sheet.min, measured.min));
  const max = fs(Math.min(sheet.max, measured.max));
  if (min > max) throw new RangeError(`${measured.from} to ${measured.to}: measured outside the sheet's limits`);
  const isLater = measured.min > sheet.min;
  const middle = fs(Math.round((measured.min + measured.max) / 2));
  return {
    min,
    typical: fs(Math.min(Math.max(middle, min), max)),
    max,
    minimumIs: isLater ? "stated" : sheet.minimumIs,
    source: measured.max < sheet.max ? measured.source : sheet.source,
    minimumSource: isLater ? measured.source : (sheet.minimumSource ?? sheet.source),
    narrowing: { sheet, measured },
  };
}

/** The figures of one chip of which some arcs were measured; each arc at most once. */
export function withMeasured(figures: Figures, measured: readonly MeasuredDelay[]): Figures {
  const key = (from: string, edge: Edge, to: string, change: Change) => `${from} ${edge} ${to} ${change}`;
  const own = new Map(measured.map((one) => [key(one.from, one.edge, one.to, one.change), one]));
  const made = new Map<MeasuredDelay, Delay>();
  return {
    ...figures,
    delay(from, edge, to, change) {
      const sheet = figures.delay(from, edge, to, change);
      const of = own.get(key(from, edge, to, change));
      if (!of || isMissing(sheet)) return sheet;
      const known = made.get(of) ?? narrowed(sheet, of);
      made.set(of, known);
      return known;
    },
  };
}
