import type { InputTiming, NetId } from "../circuit/index.js";
import type { Edge } from "../parts/index.js";
import { fs } from "../quantity/index.js";
import type { DelayVariable } from "./delay-variable.js";
import { EITHER, HIGH, LOW, isKnown } from "./level-set.js";
import type { Model, NetModel, OutsideModel } from "./model.js";
import { isSame } from "./moments.js";
import type { Region } from "./state.js";
import type { Step } from "./step.js";
import type { Moment } from "./moment.js";
import { outsideRoot } from "./roots.js";

/** An outside signal that may change at any time does or does not change in this tick, as far as its least times allow. */
export function moveOutside(step: Step, outside: OutsideModel): void {
  const { timing } = outside.input;
  if (timing.kind !== "any time" || step.model.outsideStepTicks === 0) return;
  const seen = step.outside(outside.cell);
  if (seen.phase !== 0) return;
  const { period } = step.model.time;
  const [only, another] = outside.edges;
  if (!only) return;
  const edge: Edge = another ? (seen.wave.level === HIGH ? "fall" : "rise") : only;
  const since = (tick: number) => (step.model.outsideStepTicks - tick) * period.max;
  const { high, low, repeat, cycle } = followedGaps(step.model, timing);
  const may = another
    ? edge === "fall"
      ? since(seen.rose) > high
      : since(seen.fell) > low && since(seen.rose) > repeat
    : since(edge === "rise" ? seen.rose : seen.fell) > cycle;
  if (!may || step.choose(2) === 0) return;
  step.touch(outside.cell);
  const state = step.outside(outside.cell);
  if (edge === "fall") {
    state.fell = 0;
    // Where least times are cut short, how long it is from one rise to the next follows from how long each level lasts.
    if (step.model.outsideMemoryTicks < Infinity && repeat <= high + low) state.rose = -state.riseMatters;
  } else {
    state.rose = 0;
    // How long it was low before matters to nothing any more.
    if (another) state.fell = -state.fallMatters;
  }
  const followers = step.scope.outside.filter(
    ({ input }) =>
      input.timing.kind === "steady around" && input.timing.net === outside.input.net && input.timing.edge === edge,
  );
  const lead = Math.max(
    0,
    ...followers.map(({ input }) => (input.timing.kind === "steady around" ? input.timing.before : 0)),
  );
  const root = step.model.time.root(outsideRoot(step.model.outside.indexOf(outside), edge));
  const after = (delay: number): Moment => ({
    path: step.model.time.extend(
      root,
      step.model.delays.outside(`${outside.net.net.name} ${edge}`, outside.net.net.name, fs(delay), fs(delay)),
    ),
    tick: 0,
  });
  const region = step.addRegion(state.wave, edge === "fall" ? HIGH : LOW, edge === "fall" ? LOW : HIGH, true);
  region.early.push(after(lead));
  region.late.push(after(lead));
  step.comeOpen(outside.cell, region);
  step.comeClosed(outside.cell, region);
  for (const follower of followers) {
    if (follower.input.timing.kind !== "steady around") continue;
    const wave = step.ownPresent(follower.cell);
    for (const open of wave.regions) {
      if (open.settled) continue;
      open.late.push(after(lead - follower.input.timing.before));
      step.comeClosed(follower.cell, open);
    }
    const next = step.addRegion(wave, EITHER, EITHER, false);
    next.early.push(after(lead + follower.input.timing.after));
    step.comeOpen(follower.cell, next);
  }
}

/** The least times of a signal that comes at any time, as far as they are followed. In femtoseconds. */
export function followedGaps(
  { time, outsideMemoryTicks }: Model,
  { leastHigh, leastLow, leastRepeat }: Extract<InputTiming, { kind: "any time" }>,
): { readonly high: number; readonly low: number; readonly repeat: number; readonly cycle: number } {
  const followed = (least: number) => Math.min(least, outsideMemoryTicks * time.period.min);
  const cycle = followed(Math.max(leastRepeat, leastHigh + leastLow));
  return { high: followed(leastHigh), low: followed(leastLow), repeat: followed(leastRepeat), cycle };
}

/** An outside signal that follows a net's edge within a window, or is steady around it. */
export function followNet(
  step: Step,
  outside: OutsideModel,
  net: NetModel,
  region: Region,
  what: "open" | "close",
): void {
  const { input, cell } = outside;
  const { timing } = input;
  if (timing.kind === "steady around" && timing.net === net.net.id) steadyAround(step, outside, region, what);
  if (timing.kind !== "after" || timing.net !== net.net.id) return;
  const begins = timing.edge === "rise" ? LOW : HIGH;
  if (!(region.from & begins) || !(region.to & (EITHER & ~begins))) return;
  const wave = step.ownPresent(cell);
  const own = step.model.nets[input.net]?.net.name ?? "";
  const label = `${own} after ${net.net.name} ${timing.edge}`;
  const delay = step.model.delays.outside(label, own, timing.delay.min, timing.delay.max);
  const extend = (moments: readonly Moment[]) =>
    moments.map(({ path, tick }) => ({ path: step.model.time.extend(path, delay), tick }));
  if (what === "open") {
    const follower = step.addRegion(wave, EITHER, EITHER, true);
    step.model.time.addEarly(follower.early, extend(region.early));
    wave.members = [{ slot: 0, born: region.born, order: region.order, closed: false, changes: [] }];
    step.comeOpen(cell, follower);
    step.settle();
    return;
  }
  const follower = wave.regions.at(-1);
  if (!follower || wave.members.length === 0) return step.settle();
  step.model.time.addEarly(follower.early, extend(region.early));
  step.model.time.addLate(follower.late, extend(region.late));
  wave.members = [];
  step.comeClosed(cell, follower);
  step.settle();
}

/**
 * A signal that is steady around an edge of a net of the board: what it has been doing ends before the edge, and goes on
 * after it. An edge that may also not come promises nothing: the signal then goes on changing.
 */
function steadyAround(step: Step, { input, cell }: OutsideModel, region: Region, what: "open" | "close"): void {
  const { timing } = input;
  if (timing.kind !== "steady around" || comesAtAnyTime(step.model, timing.net)) return;
  const { clean, from, to, born, order } = region;
  if (!clean || from === to || !isKnown(from) || to !== (timing.edge === "rise" ? HIGH : LOW)) return;
  const wave = step.ownPresent(cell);
  const { time, delays, nets } = step.model;
  const own = nets[input.net]?.net.name ?? "";
  const label = `${own} around ${nets[timing.net]?.net.name} ${timing.edge}`;
  const [before, after] = [fs(-timing.before), timing.after].map((delay) => delays.outside(label, own, delay, delay));
  if (!before || !after) return;
  const by = (delay: DelayVariable, moments: readonly Moment[]) =>
    moments.map(({ path, tick }) => ({ path: time.extend(path, delay), tick }));
  // Of the changes under way the last begins after the newest edge; the others end at one edge each, in order.
  const underWay = wave.regions.filter(({ settled }) => !settled);
  if (what === "open") {
    const next = step.addRegion(wave, EITHER, EITHER, false);
    time.addEarly(next.early, by(after, region.early));
    wave.members.push({ slot: 0, born, order, closed: false, changes: [] });
    step.comeOpen(cell, next);
    underWay.push(next);
  }
  const index = wave.members.findIndex((member) => member.born === born && member.order === order);
  const [ending, next] = index < 0 ? [] : underWay.slice(index);
  if (ending && next) {
    const known = [...next.early];
    time.addEarly(next.early, by(after, region.early));
    if (!isSame(known, next.early)) step.comeOpen(cell, next);
    time.addLate(ending.late, by(before, region.settled ? region.late : region.early));
    if (region.settled) {
      wave.members.splice(index, 1);
      step.comeClosed(cell, ending);
    } else step.tellOf(cell, ending);
  }
  step.settle();
}

/** Whether a net comes from outside at any time: what is steady around its edges is moved together with it. */
export function comesAtAnyTime({ outside }: Model, net: NetId): boolean {
  return outside.some((other) => other.input.net === net && other.input.timing.kind === "any time");
}
