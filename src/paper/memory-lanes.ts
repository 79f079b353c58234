import { EITHER, HIGH, LOW, type LevelSet, UNDRIVEN } from "../timing/level-set.js";
import type { NetModel } from "../timing/model.js";
import { type BusOwner, drivesAt } from "./bus-owners.js";
import type { Lane, LaneLevel } from "./cycle-drawing.js";
import { laneOf, type Stretch } from "./lane-pieces.js";
import { levelAt, type TracedWaves, type WaveChange } from "./traced-waves.js";

/** By which the same edge may differ when it is counted from different ticks: their period is not exactly the mean. */
const rounding = 100_000;

/** The lane of one net. */
export function netLane(waves: TracedWaves, net: NetModel, kind: "clock" | "signal", span: Stretch): Lane {
  const wave = waves.ofNet(net);
  return laneOf({
    name: net.net.name,
    kind,
    span,
    changes: wave.changes.filter(({ isClean }) => isClean).map(stretchOf),
    unsettled: wave.changes.filter(({ isClean }) => !isClean).map(stretchOf),
    at: (time) => ({ level: laneLevel(levelAt(wave, time)) }),
  });
}

/** The lane that says which chips drive a bus. */
export function ownerLane(name: string, owners: readonly BusOwner[], span: Stretch): Lane {
  return laneOf({
    name,
    kind: "owner",
    span,
    changes: owners.flatMap(({ handOvers }) => handOvers.map(stretchOf)),
    unsettled: [],
    at: (time) => ownersAt(owners, time),
  });
}

/**
 * The lane of a bus, the worst of its nets everywhere: a change from the earliest of all nets to the latest of all,
 * unsettled while any of them is.
 */
export function busLane(waves: TracedWaves, name: string, owners: readonly BusOwner[], span: Stretch): Lane {
  const changes: Stretch[] = owners.flatMap(({ handOvers }) => handOvers.map(stretchOf));
  const unsettled: Stretch[] = [];
  for (const owner of owners) {
    const driven = drivenStretches(owner, span);
    for (const { output } of owner.drivers) {
      for (const change of waves.of(output.cell).changes) {
        const isValue = change.isClean && ((change.from | change.to) & UNDRIVEN) === 0;
        // A change to or from nothing driven is the hand-over itself; a memory's data settle only after it.
        if ((change.isClean && !isValue) || isLettingGo(owner, change)) continue;
        for (const { from, to } of driven) {
          const part = { from: Math.max(from, change.earliest), to: Math.min(to, change.latest) };
          if (part.from < part.to) (isValue ? changes : unsettled).push(part);
        }
      }
    }
  }
  return laneOf({ name, kind: "bus", span, changes, unsettled, at: (time) => ownersAt(owners, time) });
}

/** Whether a change is no more than the end of driving. */
function isLettingGo({ handOvers }: BusOwner, { to, tracedEarliest }: WaveChange): boolean {
  return (
    to === UNDRIVEN &&
    handOvers.some(
      ({ drives, cause, latest }) => !drives && cause <= tracedEarliest + rounding && tracedEarliest <= latest,
    )
  );
}

function ownersAt(owners: readonly BusOwner[], time: number): { level: LaneLevel; label?: string } {
  const driving = owners.filter((owner) => drivesAt(owner, time));
  if (driving.length === 0) return { level: owners.length > 0 ? "z" : "steady" };
  return { level: "steady", label: driving.map(({ name }) => name).join(" and ") };
}

/** From the earliest that an owner drives to the latest that it has let go. */
function drivenStretches({ drivesAtStart, handOvers }: BusOwner, span: Stretch): Stretch[] {
  const stretches: Stretch[] = [];
  let since = drivesAtStart ? 0 : undefined;
  for (const { drives, earliest, latest } of handOvers) {
    if (drives) since ??= earliest;
    else if (since !== undefined) {
      stretches.push({ from: since, to: latest });
      since = undefined;
    }
  }
  if (since !== undefined) stretches.push({ from: since, to: Math.max(since, span.to) });
  return stretches;
}

function stretchOf({ earliest, latest }: Pick<WaveChange, "earliest" | "latest">): Stretch {
  return { from: earliest, to: latest };
}

function laneLevel(level: LevelSet): LaneLevel {
  switch (level) {
    case LOW:
      return 0;
    case HIGH:
      return 1;
    case UNDRIVEN:
      return "z";
    case EITHER:
      return "steady";
    default:
      return "may change";
  }
}
