import type { Edge } from "../parts/index.js";
import { fs } from "../quantity/index.js";
import { EITHER, HIGH, LOW } from "./level-set.js";
import type { NetModel, OutsideModel } from "./model.js";
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
  const cycle = Math.max(timing.leastRepeat, timing.leastHigh + timing.leastLow);
  const may = another
    ? edge === "fall"
      ? since(seen.rose) > timing.leastHigh
      : since(seen.fell) > timing.leastLow && since(seen.rose) > timing.leastRepeat
    : since(edge === "rise" ? seen.rose : seen.fell) > cycle;
  if (!may || step.choose(2) === 0) return;
  step.touch(outside.cell);
  const state = step.outside(outside.cell);
  if (edge === "fall") state.fell = 0;
  else {
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
    const wave = step.ownWave(follower.cell);
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

/** An outside signal that follows a net's edge within a window. */
export function followNet(
  step: Step,
  { input, cell }: OutsideModel,
  net: NetModel,
  region: Region,
  what: "open" | "close",
): void {
  const { timing } = input;
  if (timing.kind !== "after" || timing.net !== net.net.id) return;
  const begins = timing.edge === "rise" ? LOW : HIGH;
  if (!(region.from & begins) || !(region.to & (EITHER & ~begins))) return;
  const wave = step.ownWave(cell);
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
  if (!follower || wave.members.length === 0) return void step.settle();
  step.model.time.addEarly(follower.early, extend(region.early));
  step.model.time.addLate(follower.late, extend(region.late));
  wave.members = [];
  step.comeClosed(cell, follower);
  step.settle();
}
