import type { Change } from "../parts/index.js";
import type { LevelSet } from "./level-set.js";
import type { CellId } from "./model.js";
import type { Moment } from "./moment.js";

/** What a signal shows from a moment on, as the builder means it: at typical delays. */
export interface MeantStep {
  readonly moment: Moment;
  readonly to: LevelSet;
}

/**
 * One change of a signal that comes somewhere between an earliest and a latest time. `early` holds moments of which one is
 * not after the change, `late` moments of which one is not before it. A region that is not `clean` may hold any number of
 * edges; a clean one holds one edge, or none where a side is unknown.
 */
export interface Region {
  /** Tick in which the region was made, 0 now, and its number among those its signal made in that tick. */
  born: number;
  order: number;
  from: LevelSet;
  to: LevelSet;
  clean: boolean;
  /** Whether the earliest time has passed, and the latest. */
  opened: boolean;
  closed: boolean;
  /** Whether `early` and `late` are complete; the region may still be to open or to close. */
  settled: boolean;
  /** Whether the output surely drove while it was going on: of one that begins undriven and holds more than its taking the net. */
  drove: boolean;
  early: Moment[];
  late: Moment[];
  /** The levels that it goes through, of a region that joins several changes and is not over. */
  steps: readonly MeantStep[];
}

/** An input change that a region of an output rests on. */
export interface Member {
  slot: number;
  born: number;
  order: number;
  closed: boolean;
  /** The changes that it can make at the output, over all that the other inputs were while it was open; none on shared nets. */
  changes: readonly Change[];
}

/** The signal at a driver or on a shared net: its level after all regions, and the regions not long gone. */
export interface Wave {
  kind: "wave";
  level: LevelSet;
  regions: Region[];
  /** What the newest region rests on while it is still being made; empty otherwise. */
  members: Member[];
  /** Ticks for which regions are remembered after they have closed. */
  keeps: number;
}

/**
 * What a signal does at present: its newest regions, from the first on that is not over, and those made in this tick. What is
 * past lies before them.
 */
export interface Present {
  /** The level after all that is past. */
  base: LevelSet;
  level: LevelSet;
  regions: Region[];
  members: Member[];
}

/** A change that is past. */
export interface Past {
  readonly region: Region;
  /** Whether those before it were over no later. */
  readonly wasLast: boolean;
}

/** A storage bit that changes with an input change still open. */
export interface StorageChange {
  bit: number;
  from: LevelSet;
  to: LevelSet;
  slot: number;
  born: number;
  order: number;
  /** It could go to either level, and goes to the one that is followed here. */
  isChosen?: true;
}

/** A capturing edge that has passed, kept for what must come long enough after it. */
export interface Capture {
  gate: number;
  /** The pin whose edge captured. */
  slot: number;
  /** True for the end of a write, false for its begin, absent for clocks and latches. */
  writeEnd?: boolean;
  tick: number;
  early: readonly Moment[];
  late: readonly Moment[];
  /** Pins that must hold, each until its first change after the capture. */
  held: number[];
  /** Changes counted as before the capture although not over when it passed; releases of overrides whichever way. */
  before: { slot: number; born: number; order: number; isRelease: boolean; isChecked: boolean }[];
}

/** For a change from outside that came too near to an edge to tell: whether it is taken as before it. */
export interface Decision {
  slot: number;
  born: number;
  order: number;
  edgeSlot: number;
  edgeBorn: number;
  edgeOrder: number;
  isBefore: boolean;
}

export interface ChipState {
  kind: "chip";
  stored: LevelSet[];
  changes: StorageChange[];
  captures: Capture[];
  decisions: Decision[];
  /** Ticks for which captures are remembered. */
  keeps: number;
}

/** An outside signal: its wave and how many ticks ago it rose and fell (as ticks, at most 0). */
export interface OutsideState {
  kind: "outside";
  wave: Wave;
  rose: number;
  fell: number;
  /** Ticks after a rise, and after a fall, from which on it does not matter how long ago it was. */
  riseMatters: number;
  fallMatters: number;
  /** Outside edges come in steps of so many ticks; ticks since the present one began. */
  step: number;
  phase: number;
}

export type CellState = Wave | ChipState | OutsideState;

/** What is still to come: the opening or closing of a region, in fs after the oscillator's rise of tick `born`. */
export interface Coming {
  time: number;
  born: number;
  what: "open" | "close";
  cell: CellId;
  regionBorn: number;
  regionOrder: number;
}

/** Ticks after which nothing looks at a capturing edge again. */
const DECIDED_TICKS = 6;

/** How many closed regions a wave keeps: enough for a period, a pulse and the change before it. */
const KEPT_REGIONS = 3;

/**
 * The state `ticks` later: every tick number shifted, what is older than `horizon` ticks, or than a wave keeps, forgotten. Returns a new object.
 */
export function age(state: CellState, ticks: number, horizon: number): CellState {
  switch (state.kind) {
    case "wave":
      return ageWave(state, ticks, horizon);
    case "outside":
      return {
        kind: "outside",
        wave: ageWave(state.wave, ticks, horizon),
        rose: Math.max(state.rose - ticks, -state.riseMatters),
        fell: Math.max(state.fell - ticks, -state.fallMatters),
        riseMatters: state.riseMatters,
        fallMatters: state.fallMatters,
        step: state.step,
        phase: (state.phase + ticks) % state.step,
      };
    case "chip":
      return {
        kind: "chip",
        keeps: state.keeps,
        stored: [...state.stored],
        changes: state.changes.map((change) => ({ ...change, born: change.born - ticks })),
        decisions: state.decisions
          .filter((decision) => decision.edgeBorn - ticks >= -DECIDED_TICKS)
          .map((d) => ({ ...d, born: d.born - ticks, edgeBorn: d.edgeBorn - ticks })),
        captures: state.captures
          .filter(
            // What a write has begun with matters until it ends.
            ({ tick, held, before, writeEnd }) =>
              (writeEnd === false || tick - ticks >= -Math.min(horizon, state.keeps)) &&
              (held.length > 0 || before.length > 0),
          )
          .map((capture) => ({
            ...capture,
            tick: Math.max(capture.tick - ticks, -horizon),
            early: shift(capture.early, ticks, -2 * horizon),
            late: shift(capture.late, ticks, -2 * horizon),
            held: [...capture.held],
            before: capture.before.map((region) => ({ ...region, born: Math.max(region.born - ticks, -2 * horizon) })),
          })),
      };
  }
}

function ageWave(wave: Wave, ticks: number, horizon: number): Wave {
  const least = -Math.min(horizon, wave.keeps);
  const isRecent = (region: Region) => region.late.some(({ tick }) => tick - ticks >= least);
  const closed = wave.regions.filter((region) => region.closed && isRecent(region)).slice(-KEPT_REGIONS);
  return {
    kind: "wave",
    level: wave.level,
    keeps: wave.keeps,
    regions: wave.regions
      .filter((region) => !region.closed || closed.includes(region))
      .map((region) => ({
        ...region,
        born: region.settled ? region.born - ticks : Math.max(region.born - ticks, -2 * horizon),
        early: shift(region.early, ticks, -2 * horizon),
        late: shift(region.late, ticks),
        steps: region.closed ? [] : region.steps.map(({ moment, to }) => ({ moment: aged(moment, ticks), to })),
      })),
    members: wave.members.map((member) => ({ ...member, born: Math.max(member.born - ticks, -2 * horizon) })),
  };
}

function shift(moments: readonly Moment[], ticks: number, least = -Infinity): Moment[] {
  return moments.map((moment) => aged(moment, ticks, least));
}

function aged({ path, tick }: Moment, ticks: number, least = -Infinity): Moment {
  return { path, tick: Math.max(tick - ticks, least) };
}

/** The wave that a cell's state is or holds. */
export function waveIn(state: CellState): Wave {
  if (state.kind === "outside") return state.wave;
  if (state.kind !== "wave") throw new RangeError("the state is no wave");
  return state;
}

/** How many of the regions of a wave are past: over, and made before this tick. */
export function pastOf({ regions }: Pick<Wave, "regions">): number {
  let past = 0;
  for (let region = regions[0]; region?.closed && region.born !== 0; region = regions[past]) past++;
  return past;
}

/** The present of a wave; the regions are the same objects. */
export function presentIn({ level, regions, members }: Wave): Present {
  const past = pastOf({ regions });
  const base = regions[past - 1]?.to ?? regions[0]?.from ?? level;
  return { base, level, regions: regions.slice(past), members };
}

/** The wave whose past this one has, and whose present is given. */
export function withPresent({ keeps, regions }: Wave, present: Present): Wave {
  const { level, members } = present;
  return {
    kind: "wave",
    level,
    keeps,
    regions: [...regions.slice(0, pastOf({ regions })), ...present.regions],
    members,
  };
}

/** What a signal shows once every change that has begun has come; changes still to begin have not. */
export function shownNow({ base, regions }: Pick<Present, "base" | "regions">): LevelSet {
  return regions.filter(({ opened, closed }) => opened || closed).at(-1)?.to ?? base;
}

/** A copy of a present that can be changed without changing the original. */
export function copyPresent({ base, level, regions, members }: Present): Present {
  return { base, level, regions: regions.map(copyRegion), members: members.map(copyMember) };
}

/** A copy of a state that can be changed without changing the original. */
export function copyOf(state: CellState): CellState {
  switch (state.kind) {
    case "wave":
      return copyWave(state);
    case "outside":
      return { ...state, wave: copyWave(state.wave) };
    case "chip":
      return {
        kind: "chip",
        keeps: state.keeps,
        stored: [...state.stored],
        changes: state.changes.map((change) => ({ ...change })),
        captures: state.captures.map((c) => ({ ...c, held: [...c.held], before: [...c.before] })),
        decisions: [...state.decisions],
      };
  }
}

function copyWave({ level, keeps, regions, members }: Wave): Wave {
  return {
    kind: "wave",
    level,
    regions: regions.map(copyRegion),
    members: members.map(copyMember),
    keeps,
  };
}

function copyMember({ slot, born, order, closed, changes }: Member): Member {
  return { slot, born, order, closed, changes };
}

/** A copy of a change that can be changed; the moments are shared. */
export function copyRegion(region: Region): Region {
  return {
    born: region.born,
    order: region.order,
    from: region.from,
    to: region.to,
    clean: region.clean,
    opened: region.opened,
    closed: region.closed,
    settled: region.settled,
    drove: region.drove,
    early: region.early.slice(),
    late: region.late.slice(),
    steps: region.steps,
  };
}
