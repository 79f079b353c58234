import { canSeries } from "../../parts/index.js";
import type { Hertz } from "../../quantity/index.js";
import { type PublishedRaster, inHertz } from "../../raster/index.js";
import { type Counts, MOST_GREY_BITS, bitsToCount } from "../design.js";
import { type CountedRaster, type RasterNumbers, countRaster, rasterNumbers, shrink } from "./geometry.js";
import type { PlanTimes } from "./margin.js";
import { type PictureChoice, type Space, dotsOfCell } from "./space.js";
import { outputOf } from "./video-output.js";
import type { Wishes } from "./wishes.js";

/** What kept combinations from becoming plans, in the order in which they are looked at. */
export type Obstacle =
  | "interlaced"
  | "monitor"
  | "phases"
  | "greys"
  | "line rate"
  | "horizontal sync"
  | "porches"
  | "picture"
  | "memory size"
  | "memory left"
  | "margin"
  | "chips"
  | "writes"
  | "wait";

/** How the dots of a picture are clocked: by what the margins depend on, and nothing else. */
export interface Clocking {
  readonly oscillator: Hertz;
  readonly divider: number;
  /** Dots that one cell shows on a line. */
  readonly cellDots: number;
  readonly isText: boolean;
  readonly bitsPerDot: number;
  /** Rows of one character; 1 of a bitmap. */
  readonly characterRows: number;
  readonly phasePeriods: number;
  readonly times: PlanTimes;
}

/** A picture on a raster by an oscillator: what memory, sharing and logic are then tried with. */
export interface Place {
  readonly raster: PublishedRaster;
  readonly clocking: Clocking;
  readonly choice: PictureChoice;
  readonly counted: CountedRaster;
  readonly line: Counts;
  readonly frame: Counts;
  readonly columns: number;
  readonly rows: number;
  /** Bits of the address, and bytes that the picture spans. */
  readonly addressBits: number;
  readonly memoryUsed: number;
  /** Of line and frame rate, the greater, in tenths of a per cent. */
  readonly deviationPercent: number;
  /** How much of what the raster shows is picture, in steps of five per cent. */
  readonly filledPercent: number;
  /** Published rasters with the same numbers. */
  readonly sameRasters: number;
}

/** Told how many combinations fell at an obstacle. */
export type Fall = (obstacle: Obstacle, count: number) => void;

/** Every picture on every raster that an oscillator divides down to. */
export function* placesIn(space: Space, wishes: Wishes, fall: Fall): Generator<Place> {
  const perPicture = space.memories.length * space.sharing.length * space.logic.length;
  const perRaster = space.oscillators.length * space.dividers.length * space.pictures.length * perPicture;
  const clockings = clockingsOf(space);
  for (const { numbers, count } of distinctRasters(space.rasters)) {
    if (numbers.raster.interlace || !isFollowed(numbers, wishes)) {
      fall(numbers.raster.interlace ? "interlaced" : "monitor", count * perRaster);
      continue;
    }
    const isOneWire = outputOf(numbers.raster, wishes.composite).kind === "composite 15 kHz";
    let cellHertz = 0;
    let counted: CountedRaster | Obstacle = "phases";
    for (const { clocking, choices, hertz } of clockings) {
      if (clocking.phasePeriods < 1) {
        // The ring of eight phases cannot be clocked faster than by the oscillator.
        fall("phases", count * choices.length * perPicture);
        continue;
      }
      if (isOneWire && clocking.bitsPerDot > MOST_GREY_BITS) {
        fall("greys", count * choices.length * perPicture);
        continue;
      }
      if (hertz !== cellHertz) counted = countRaster(numbers, hertz, wishes.deviationPercent, wishes.lines);
      cellHertz = hertz;
      for (const choice of choices) {
        const place =
          typeof counted === "string" ? counted : placeOf(numbers, clocking, hertz, counted, choice, count, wishes);
        if (typeof place === "string") fall(place, count * perPicture);
        else yield place;
      }
    }
  }
}

interface Clocked {
  readonly clocking: Clocking;
  readonly choices: readonly PictureChoice[];
  /** Cells a second. */
  readonly hertz: number;
}

/** Every oscillator, divider and content; those with the same cell stand one after the other. */
function clockingsOf({ oscillators, dividers, pictures }: Space): readonly Clocked[] {
  const contents = [...new Set(pictures.map(({ content }) => content))];
  return oscillators.flatMap((oscillator) => {
    const hertz = inHertz(oscillator);
    const period = (1e9 / hertz) * (1 - STABILITY);
    return dividers
      .flatMap((divider) =>
        contents.map((content): Clocked => {
          const cellDots = dotsOfCell(content);
          const periods = divider * cellDots;
          const phasePeriods = periods / 8;
          return {
            clocking: {
              oscillator,
              divider,
              cellDots,
              isText: content.kind === "text",
              bitsPerDot: content.kind === "bitmap" ? content.bitsPerDot : 1,
              characterRows: content.kind === "text" ? content.characterRows : 1,
              phasePeriods,
              times: {
                cell: periods * period,
                phase: phasePeriods * period,
                dot: divider * period,
                isWritten: Number.isInteger(Math.log2(phasePeriods)),
                isText: content.kind === "text",
                bitsPerDot: content.kind === "bitmap" ? content.bitsPerDot : 1,
                ...(phasePeriods >= 2 && { canHigh: LEAST_DUTY * period }),
                clockHigh: phasePeriods >= 2 ? (Math.floor(phasePeriods) / 2) * period : LEAST_DUTY * period,
              },
            },
            choices: pictures.filter((choice) => choice.content === content),
            hertz: hertz / periods,
          };
        }),
      )
      .sort((a, b) => a.hertz - b.hertz);
  });
}

/** Of a can that names none: 100 ppm, and 40 % of the period high at least, the widest limits on record. */
const STABILITY = 1e-4;
const LEAST_DUTY = Math.min(...canSeries.flatMap(({ duty }) => duty.map(({ least }) => least)));

/** Several tables publish the same numbers; the first counts for all. */
function distinctRasters(rasters: readonly PublishedRaster[]) {
  const found = new Map<string, { readonly numbers: RasterNumbers<PublishedRaster>; count: number }>();
  for (const raster of rasters) {
    const numbers = rasterNumbers(raster);
    const { h, v, interlace } = raster;
    const key = JSON.stringify([numbers.dotHertz, h, v, interlace]);
    const known = found.get(key);
    if (known) known.count++;
    else found.set(key, { numbers, count: 1 });
  }
  return found.values();
}

function isFollowed({ lineHertz, fieldHertz }: RasterNumbers, { monitor }: Wishes): boolean {
  if (!monitor) return true;
  const { lineRateHz, fieldRateHz } = monitor;
  return (
    lineHertz >= lineRateHz.min &&
    lineHertz <= lineRateHz.max &&
    fieldHertz >= fieldRateHz.min &&
    fieldHertz <= fieldRateHz.max
  );
}

/** The wished picture, or the largest that the active part holds. */
function placeOf(
  { raster, dotHertz }: RasterNumbers<PublishedRaster>,
  clocking: Clocking,
  cellHertz: number,
  counted: CountedRaster,
  choice: PictureChoice,
  sameRasters: number,
  { shows }: Wishes,
): Place | Obstacle {
  const { cellDots, characterRows } = clocking;
  const rowLines = characterRows * choice.lineRepeat;
  const cells = shows ? (shows.kind === "text" ? shows.characters : shows.width / cellDots) : counted.line.active;
  const storedRows = shows
    ? shows.kind === "text"
      ? shows.lines
      : shows.height / characterRows
    : Math.floor(counted.frame.active / rowLines);
  if (!Number.isInteger(cells) || !Number.isInteger(storedRows) || storedRows < 1) return "picture";
  if (cells > counted.line.active || storedRows * rowLines > counted.frame.active) return "picture";
  const columnBits = bitsToCount(cells);
  const across = ((cells / cellHertz) * dotHertz) / raster.h.active;
  const down = (storedRows * rowLines) / raster.v.active;
  const { lineRatePercent, frameRatePercent } = counted;
  return {
    raster,
    clocking,
    choice,
    counted,
    line: shrink(counted.line, cells),
    frame: shrink(counted.frame, storedRows * rowLines),
    columns: cells * cellDots,
    rows: storedRows * characterRows,
    addressBits: columnBits + bitsToCount(storedRows),
    memoryUsed: 2 ** columnBits * (storedRows - 1) + cells,
    deviationPercent: Math.round(Math.max(Math.abs(lineRatePercent), Math.abs(frameRatePercent)) * 10) / 10,
    filledPercent: Math.min(100, 5 * Math.round(20 * across * down)),
    sameRasters,
  };
}
