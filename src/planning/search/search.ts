import { FIGURE_COLUMNS, MOST_PAGES, deviationStep, dotStep, tenths } from "./figures.js";
import { GroupedFront, paretoFront } from "./front.js";
import { type PathMargin, logicPaths, memoryPaths } from "./margin.js";
import { OptionFinder, type Triple, rateSteps } from "./options.js";
import { type Fall, type Obstacle, type Place, placesIn } from "./place.js";
import type { Plan, PlanFigures } from "./plan.js";
import type { AccessRate, SharingKind } from "./sharing-costs.js";
import { type Space, sizeOf, spaceOf } from "./space.js";
import { outputOf } from "./video-output.js";
import type { Wishes } from "./wishes.js";

/** What a search found. */
export interface SearchResult {
  /** Plans that no other beats, fewest chips first. */
  readonly front: readonly Plan[];
  /** Combinations of one of each choice. */
  readonly combinations: number;
  /** Those that meet the wishes. */
  readonly meeting: number;
  /** How many combinations fell at each obstacle. */
  readonly fallen: ReadonlyMap<Obstacle, number>;
  readonly space: Space;
}

/** A plan without its paths, as it is held while plans are compared. */
interface Candidate {
  readonly place: Place;
  readonly triple: Triple;
  readonly chips: number;
  readonly rate: AccessRate;
}

/** Searches every combination and keeps the plans that nothing else beats. */
export function searchPlans(wishes: Wishes): SearchResult {
  const space = spaceOf(wishes);
  const fallen = new Map<Obstacle, number>();
  const fall: Fall = (obstacle, count) => fallen.set(obstacle, (fallen.get(obstacle) ?? 0) + count);
  const options = new OptionFinder(space, wishes);
  const candidates = new GroupedFront<Candidate>();
  let meeting = 0;
  // Held to spare half a million lists.
  const row = [0, 0, 0, 0, 0];
  for (const place of placesIn(space, wishes, fall)) {
    const ofPlace = groupOf(place);
    meeting += options.at(place, fall, (triple, chips, rate) => {
      const group = 4 * ofPlace + accessOf(triple.sharing);
      const steps = triple.rate ? triple.steps : [triple.steps[0], ...rateSteps(rate)];
      row[0] = chips;
      row[1] = steps[0] ?? 0;
      row[2] = steps[1] ?? 0;
      row[3] = steps[2] ?? 0;
      row[4] = -pagesOf(place, triple);
      if (candidates.takes(group, row)) candidates.put(group, [...row], { place, triple, chips, rate });
    });
  }
  const list = candidates.items().map((candidate) => ({ ...candidate, figures: figuresOf(candidate) }));
  const front = paretoFront(list.map(({ figures }) => FIGURE_COLUMNS.map((of) => of(figures)))).flatMap((index) => {
    const candidate = list[index];
    return candidate ? [planOf(candidate, space, wishes)] : [];
  });
  return { front: [...front].sort(byChips), combinations: sizeOf(space), meeting, fallen, space };
}

/** The same number for places that agree in all figures that no option changes. */
function groupOf({ clocking, columns, rows, filledPercent, deviationPercent }: Place): number {
  const depth = Math.log2(clocking.bitsPerDot);
  return (
    ((dotStep(columns * rows) * 8 + depth) * 16 + tenths(filledPercent)) * 1024 + deviationStep(deviationPercent) * 10
  );
}

/** Two bits: whether the processor has its own clock, and whether it can read. */
function accessOf(sharing: SharingKind): number {
  return (hasOwnClock(sharing) ? 2 : 0) + (canRead(sharing) ? 1 : 0);
}

function hasOwnClock(sharing: SharingKind): boolean {
  return sharing !== "alternate slots";
}

function canRead(sharing: SharingKind): boolean {
  return sharing !== "write latch" && sharing !== "blanking only";
}

function pagesOf({ addressBits }: Place, { memory }: Triple): number {
  return Math.min(MOST_PAGES, memory.bytes / 2 ** addressBits);
}

function figuresOf({ place, triple, chips, rate }: Candidate): PlanFigures {
  return {
    chips,
    marginNs: triple.marginNs,
    dots: place.columns * place.rows,
    colours: 2 ** place.clocking.bitsPerDot,
    filledPercent: place.filledPercent,
    bytesPerSecond: rate.bytesPerSecond,
    longestWaitNs: rate.longestWait,
    hasOwnClock: hasOwnClock(triple.sharing),
    canRead: canRead(triple.sharing),
    deviationPercent: place.deviationPercent,
    memoryUsed: place.memoryUsed,
    memoryLeft: triple.memory.bytes - place.memoryUsed,
    pages: triple.memory.bytes / 2 ** place.addressBits,
  };
}

function byChips(one: Plan, other: Plan): number {
  const [a, b] = [one.figures, other.figures];
  return (
    a.chips - b.chips ||
    b.dots * Math.log2(b.colours) - a.dots * Math.log2(a.colours) ||
    b.marginNs - a.marginNs ||
    b.bytesPerSecond - a.bytesPerSecond ||
    a.memoryUsed - b.memoryUsed
  );
}

function planOf(
  { place, triple, figures }: Candidate & { readonly figures: PlanFigures },
  space: Space,
  wishes: Wishes,
): Plan {
  const { memory, sharing, logic } = triple;
  const { content, lineRepeat } = place.choice;
  const { oscillator, divider, times } = place.clocking;
  const rom = content.kind === "text" ? space.characterRom : undefined;
  const paths: readonly PathMargin[] = [
    ...logicPaths(times, logic, rom),
    ...memoryPaths(times, logic, memory, sharing),
  ];
  return {
    raster: place.raster,
    oscillator,
    divider,
    counted: place.counted,
    line: place.line,
    frame: place.frame,
    columns: place.columns,
    rows: place.rows,
    lineRepeat,
    content:
      content.kind === "bitmap"
        ? content
        : {
            ...content,
            characters: place.columns / content.characterDots,
            lines: place.rows / content.characterRows,
            characterRom: wishes.characterRom,
          },
    memory: memory.number,
    sharing,
    family: logic.family,
    build: wishes.build,
    output: outputOf(place.raster, wishes.composite),
    processor: wishes.processor,
    figures,
    paths: [...paths].sort((a, b) => a.margin - b.margin),
  };
}
