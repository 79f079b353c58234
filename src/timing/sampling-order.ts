import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { type LevelSet, asRead } from "./level-set.js";
import { leastGap } from "./moments.js";
import type { Moment } from "./moment.js";

/**
 * Whether a change is meant to come before an edge that captures it. Surely so or surely not where the bounds tell; else the
 * side to which the shorter way leads back to certainty, and for a change still open the order at typical delays: what is
 * captured wrongly fails its set-up or hold, and what follows is judged as the builder meant it. A change that starts from
 * an outside edge has no meant order: both are explored where they differ.
 */
export function isMeantBefore(at: ChipStep, change: Open, edge: Open): boolean {
  const { time } = at.step.model;
  const early = at.early(change);
  const after = leastGap(time, at.late(edge), early)?.fs ?? 0;
  if (after >= 0 && !(change.region.settled && after === 0)) return false;
  const before = change.region.settled ? (leastGap(time, at.late(change), at.early(edge))?.fs ?? 0) : undefined;
  if (before !== undefined && before >= 0) return true;
  if (isUntilNextEdge(at, change)) return false;
  const { from, to } = change.region;
  if (early.some((a) => at.early(edge).some((b) => time.isUnrelated(a, b))))
    return asRead(from) === asRead(to) || decide(at, change, edge);
  if (before !== undefined) return before >= after;
  const typical = (moments: readonly Moment[]) => Math.max(...moments.map((moment) => time.typical(moment)));
  const [first] = change.region.steps.length > 1 ? change.region.steps : [];
  const begin = first ? at.step.atPin([first.moment], at.chip, change.pin) : early;
  return typical(begin) <= typical(at.early(edge));
}

/** Whether a change is that of a signal from outside which goes on until it is steady around the next such edge. */
function isUntilNextEdge({ step: { model } }: ChipStep, { pin, region }: Open): boolean {
  const cell = model.cells[pin.net.wave];
  // With the next edge comes what ends the change.
  return region.late.length === 0 && cell?.kind === "outside" && cell.input.timing.kind === "steady around";
}

/**
 * The level that an edge is meant to find of a change that is meant to come before it: of one that goes through several
 * levels and may not be over, the one that it has at typical delays.
 */
export function levelMeant(at: ChipStep, change: Open, edge: Open): LevelSet {
  const { steps, to } = change.region;
  if (steps.length < 2 || isSurelyBefore(at, change, edge)) return to;
  const { time } = at.step.model;
  const typical = (moments: readonly Moment[]) => Math.max(...moments.map((moment) => time.typical(moment)));
  const reached = typical(at.early(edge));
  const have = steps.filter(({ moment }) => typical(at.step.atPin([moment], at.chip, change.pin)) <= reached);
  // A change from outside has no typical time; it has begun, being meant to come before the edge.
  return (have.at(-1) ?? steps[0])?.to ?? to;
}

/** Whether one change is over, by the bounds, before another begins. */
export function isSurelyBefore(at: ChipStep, one: Open, other: Open): boolean {
  if (!one.region.settled) return false;
  const gap = leastGap(at.step.model.time, at.late(one), at.early(other));
  return gap !== undefined && gap.fs > 0;
}

/** Takes both ways in turn, the same one each time this capture of this change is looked at. */
function decide(at: ChipStep, change: Open, edge: Open): boolean {
  const key = {
    slot: change.pin.slot,
    born: change.region.born,
    order: change.region.order,
    edgeSlot: edge.pin.slot,
    edgeBorn: edge.region.born,
    edgeOrder: edge.region.order,
  };
  const known = at.state.decisions.find(
    (d) =>
      d.slot === key.slot &&
      d.born === key.born &&
      d.order === key.order &&
      d.edgeSlot === key.edgeSlot &&
      d.edgeBorn === key.edgeBorn &&
      d.edgeOrder === key.edgeOrder,
  );
  if (known) return known.isBefore;
  const isBefore = at.step.choose(2) === 0;
  at.ownState.decisions.push({ ...key, isBefore });
  return isBefore;
}
