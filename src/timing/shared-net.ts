import type { Check } from "./check.js";
import { carriesData } from "./control.js";
import { alwaysDrives } from "./feedback.js";
import { EITHER, type LevelSet, UNDRIVEN, isKnown } from "./level-set.js";
import type { CellId, Model, NetModel } from "./model.js";
import { find, upTo } from "./iterables.js";
import { type Gap, isSame, leastGap, mostGap } from "./moments.js";
import { lastFirst, lastFirstSince } from "./past-changes.js";
import { isRestless, reportRestless } from "./settling.js";
import { type Region, type Wave, shownNow } from "./state.js";
import type { Step } from "./step.js";
import { turningPin } from "./turning-pin.js";
import type { Moment } from "./moment.js";

/** What a net shows that several outputs share: whatever any of them drives; undriven only if all may let go. */
export function resolve(levels: readonly LevelSet[]): LevelSet {
  let driven = 0;
  let mayFloat = UNDRIVEN;
  for (const level of levels) {
    driven |= level & EITHER;
    mayFloat &= level;
  }
  return driven | mayFloat;
}

/** What a shared net shows now. Of data only whether anything drives it: whose address or byte it is decides no time. */
function sharedNow(step: Step, net: NetModel): LevelSet {
  const level = resolve(net.drivers.map(({ cell }) => shownNow(step.glance(cell))));
  return carriesData(step.model, net) && level & EITHER ? level | EITHER : level;
}

/** A change opens at one driver of a shared net. */
export function openShared(step: Step, net: NetModel, driver: CellId, region: Region): void {
  if (isIdle(region)) return;
  const wave = step.ownPresent(net.wave);
  let shared = wave.members.length > 0 ? wave.regions.at(-1) : undefined;
  if (shared && isRestless(wave)) {
    reportRestless(step, net, shared, "", "");
    step.model.time.addLate(shared.late, shared.early);
    step.comeClosed(net.wave, shared);
    shared = undefined;
  }
  const after = sharedNow(step, net);
  if (shared) shared.clean = false;
  else {
    shared = step.addRegion(wave, wave.level, after, region.clean);
    wave.members = [];
  }
  const ledTo = shared.to;
  shared.to = after;
  wave.level = after;
  const [moment] = region.early;
  if (moment && shared.steps.at(-1)?.to !== after) shared.steps = [...shared.steps, { moment, to: after }];
  const slot = net.drivers.findIndex(({ cell }) => cell === driver);
  wave.members.push({ slot, born: region.born, order: region.order, closed: false, changes: [] });
  const before = [...shared.early];
  step.model.time.addEarly(shared.early, region.early);
  if (!shared.opened || shared.to !== ledTo || !isSame(before, shared.early)) step.comeOpen(net.wave, shared);
}

/** A change closes at one driver of a shared net: fights and gaps with the other drivers can now be told. */
export function closeShared(step: Step, net: NetModel, driver: CellId, region: Region): void {
  const slot = net.drivers.findIndex(({ cell }) => cell === driver);
  checkHandOver(step, net, slot, region);
  const wave = step.ownPresent(net.wave);
  const member = wave.members.find((m) => m.slot === slot && m.born === region.born && m.order === region.order);
  const shared = wave.regions.at(-1);
  if (!member || !shared) return;
  member.closed = true;
  if (!region.clean) shared.clean = false;
  step.model.time.addEarly(shared.early, region.early);
  step.model.time.addLate(shared.late, region.late);
  if (wave.members.some((m) => !m.closed)) return;
  shared.to = sharedNow(step, net);
  wave.level = shared.to;
  wave.members = [];
  if (!shared.opened) step.comeOpen(net.wave, shared);
  step.comeClosed(net.wave, shared);
}

/** A change of one driver that is open may have more causes than when it opened. */
export function growShared(step: Step, net: NetModel, driver: CellId, region: Region): void {
  const slot = net.drivers.findIndex(({ cell }) => cell === driver);
  const wave = step.ownPresent(net.wave);
  const shared = wave.regions.at(-1);
  const isOf = (m: Wave["members"][number]) => m.slot === slot && m.born === region.born && m.order === region.order;
  if (!shared || !wave.members.some(isOf)) return;
  const before = [...shared.early];
  const ledTo = shared.to;
  step.model.time.addEarly(shared.early, region.early);
  shared.to = sharedNow(step, net);
  wave.level = shared.to;
  if (shared.to !== ledTo || !isSame(before, shared.early)) step.comeOpen(net.wave, shared);
}

function isIdle(region: Region): boolean {
  return region.clean && region.from === region.to && isKnown(region.from);
}

/** A change of several edges takes the net where one of its causes does. */
function takes({ time }: Model, { clean, from, to, early }: Region): boolean {
  return clean ? (from & UNDRIVEN) !== 0 && (to & EITHER) !== 0 : time.handOvers(early, "takes").length > 0;
}

/** A change of several edges releases the net where one of its causes does. */
function releases({ time }: Model, { clean, from, to, early }: Region): boolean {
  return clean ? (from & EITHER) !== 0 && (to & UNDRIVEN) !== 0 : time.handOvers(early, "releases").length > 0;
}

/** Checks every hand-over that a change of one driver, just over, completes. */
function checkHandOver(step: Step, net: NetModel, slot: number, region: Region): void {
  const self = net.drivers[slot];
  if (!self) return;
  const others = net.drivers.filter((_, index) => index !== slot);
  checkOvertaking(step, net, self, others, region);
  if (!isByEnable(step, region)) return;
  if (takes(step.model, region)) {
    const { time } = step.model;
    const released: Region[] = [];
    for (const other of others) {
      const before = lastHandOver(step, other, region);
      if (before === "drives") bothDrive(step, net, other, self);
      if (!before || before === "drives") continue;
      if (before.closed) fight(step, net, [other, before], [self, region]);
      released.push(before);
    }
    const own = ownRelease(step, self, region);
    if (own) released.push(own);
    let gap: ReturnType<typeof mostGap>;
    for (const { early } of released) {
      const open = mostGap(time, time.handOvers(early, "releases"), time.handOvers(region.late, "takes"));
      if (open && (!gap || open.fs < gap.fs)) gap = open;
    }
    if (gap && others.every((other) => step.present(other.cell).level === UNDRIVEN)) {
      const { circuit } = step.model;
      step.checks.push({
        rule: "undriven",
        chip: self.chip.chip.ref,
        pin: self.output.pin,
        net: net.net.name,
        symbol: "gap",
        reference: "",
        required: Math.max(0, gap.fs),
        available: circuit.allowedUndriven ?? Number.MAX_SAFE_INTEGER / 4,
        typical: time.typicalGap(gap.earlier, gap.later),
        earlier: gap.earlier,
        later: gap.later,
      });
    }
  }
  if (releases(step.model, region)) {
    const begins = step.model.time.beginOf(region.early);
    for (const other of others) {
      // One that had taken the net before was checked against this driver then.
      for (const take of lastFirstSince(step, other.cell, begins)) {
        if (
          take.closed &&
          takes(step.model, take) &&
          isByEnable(step, take) &&
          lastHandOver(step, self, take) === region
        ) {
          fight(step, net, [self, region], [other, take]);
        }
      }
    }
  }
}

type Driver = NetModel["drivers"][number];

/**
 * The last release of a driver that may come before another driver takes the net: contention unless it surely does.
 * "drives" where nothing tells the driver to let go again after it has taken the net, be it before that or about the same
 * time. Of data of unknown value only what the enable does counts.
 */
function lastHandOver(step: Step, driver: Driver, take: Region): Region | "drives" | undefined {
  const { model } = step;
  let { level } = step.present(driver.cell);
  for (const region of lastFirst(step, driver.cell)) {
    level = region.from;
    if (!isByEnable(step, region) || isTakenBefore(step, take, region)) continue;
    const isDriving = region.closed && isSurelyBefore(step, region, take) && (region.to & UNDRIVEN) === 0;
    if (releases(model, region) && !isDriving) return region;
    if (region.closed && takes(model, region)) return "drives";
  }
  return level & EITHER ? "drives" : undefined;
}

/**
 * The release after which a driver takes the net again, with no other in between: it drove until then. Undefined where it may
 * not have.
 */
function ownRelease(step: Step, { cell }: Driver, take: Region): Region | undefined {
  let isBefore = false;
  for (const region of lastFirst(step, cell)) {
    if (isBefore && isByEnable(step, region) && releases(step.model, region)) {
      const hasDriven = region.drove || (region.from & UNDRIVEN) === 0;
      return hasDriven && region.to === UNDRIVEN ? region : undefined;
    }
    isBefore ||= region === take;
  }
  return undefined;
}

function isSurelyBefore(step: Step, one: Region, other: Region): boolean {
  const { time } = step.model;
  const gap = leastGap(time, time.handOvers(one.late), time.handOvers(other.early));
  return gap !== undefined && gap.fs > 0;
}

/** The same of the moments at which a change of several edges takes the net: it may have let go again since. */
function isTakenBefore(step: Step, take: Region, other: Region): boolean {
  const { time } = step.model;
  const takings = time.handOvers(take.late, "takes");
  if (takings.length === 0) return isSurelyBefore(step, take, other);
  const gap = leastGap(time, takings, time.handOvers(other.early));
  return gap !== undefined && gap.fs > 0;
}

function isByEnable(step: Step, { early }: Region): boolean {
  return step.model.time.handOvers(early).length > 0;
}

/**
 * A change of what a driver shows that comes before the driver has begun to drive, though the enable came first: it begins
 * with that change. So the pair of changes cancels to one where there are three levels.
 */
function checkOvertaking(step: Step, net: NetModel, self: Driver, others: readonly Driver[], region: Region): void {
  for (const take of lastFirstSince(step, self.cell, step.model.time.beginOf(region.early))) {
    if (!take.closed || !isByEnable(step, take) || !takes(step.model, take)) continue;
    const more = overtaking(step, region, take);
    if (more.length === 0) continue;
    for (const other of others) {
      // By now the other may have begun to take the net again, which says nothing of this hand-over.
      const release = find(
        lastFirst(step, other.cell),
        (one) => releases(step.model, one) && isByEnable(step, one) && !isSurelyBefore(step, take, one),
      );
      if (release?.closed) fight(step, net, [other, release], [self, take], more);
    }
  }
}

/**
 * When a driver may begin to drive because a change of what it shows, this or a later one, overtakes the enable; told once
 * all its causes are known.
 */
function overtaking({ model: { time } }: Step, change: Region, take: Region): readonly Moment[] {
  if (!change.settled) return [];
  if (change.born < take.born || (change.born === take.born && change.order < take.order)) return [];
  const shown = (moments: readonly Moment[]) => {
    const byEnable = time.handOvers(moments);
    return moments.filter((moment) => !byEnable.includes(moment));
  };
  const early = shown(change.early);
  const gap = leastGap(time, time.handOvers(take.late, "takes"), early);
  if (!gap || gap.fs > 0) return [];
  return time.overtaking(time.handOvers(take.early, "takes"), early, shown(change.late));
}

/** The same by any change of what the driver shows. */
function overtakingAny(step: Step, { cell }: Driver, take: Region): readonly Moment[] {
  const isTake = ({ born, order }: Region) => born === take.born && order === take.order;
  return [...upTo(lastFirst(step, cell), isTake)].flatMap((region) => overtaking(step, region, take));
}

/**
 * The release and the taking that come nearest, of those that are meant for each other: a release that ends what the driver
 * began only after the net had been taken is another hand-over's, and the one before it counts.
 */
function worstHandOver(step: Step, from: Driver, release: Region, takings: readonly Moment[]): Gap | undefined {
  const { time } = step.model;
  const worst = leastGap(time, time.handOvers(release.late, "releases"), takings);
  if (!worst || worst.earlier.tick <= worst.later.tick) return worst;
  const turns = turnsOf(step, from);
  const isBetween = (turn: readonly Moment[], taking: Moment, end: Moment) =>
    turn.every((begin) => time.leastGap(taking, begin) > 0 && time.leastGap(begin, end) > 0);
  let isReached = false;
  for (const region of lastFirst(step, from.cell)) {
    isReached ||= region.born === release.born && region.order === release.order;
    const ends = isReached ? time.handOvers(region.late, "releases") : [];
    const [first, ...others] = ends.flatMap((end) => {
      const meant = takings.filter((taking) => !turns.some((turn) => isBetween(turn, taking, end)));
      return leastGap(time, [end], meant) ?? [];
    });
    if (first) return others.reduce((one, other) => (other.fs < one.fs ? other : one), first);
  }
  return worst;
}

/**
 * When a driver takes the net, each time by itself, where one pin alone tells it to and every change there is known to be one
 * edge: then it lets go once between one and the next.
 */
function turnsOf(step: Step, driver: Driver): readonly (readonly Moment[])[] {
  const { cell } = driver;
  const pin = turningPin(driver);
  if (!pin) return [];
  const edges = [...lastFirst(step, pin.net.wave)];
  if (!edges.every(({ clean, from, to }) => clean && isKnown(from) && isKnown(to) && from !== to)) return [];
  const turns = new Map<number, Moment[]>();
  for (const { early, late } of lastFirst(step, cell)) {
    for (const moment of step.model.time.handOvers([...early, ...late], "takes")) {
      if (!edges.some((edge) => edge.early.some(({ tick }) => tick === moment.tick))) continue;
      turns.set(moment.tick, [...(turns.get(moment.tick) ?? []), moment]);
    }
  }
  return [...turns.values()];
}

/** `more` are changes that may overtake the taking. */
function fight(
  step: Step,
  net: NetModel,
  [from, release]: readonly [Driver, Region],
  [to, take]: readonly [Driver, Region],
  more: readonly Moment[] = overtakingAny(step, to, take),
): void {
  const takings = [...step.model.time.handOvers(take.early, "takes"), ...more];
  const gap = worstHandOver(step, from, release, takings);
  if (!gap) return;
  step.checks.push({
    rule: "contention",
    chip: to.chip.chip.ref,
    pin: to.output.pin,
    net: net.net.name,
    symbol: "turn-around",
    reference: `${from.chip.chip.ref} ${from.output.pin}`,
    required: 0,
    available: gap.fs + step.model.circuit.allowedContention,
    typical: step.model.time.typicalGap(gap.earlier, gap.later),
    earlier: gap.earlier,
    later: gap.later,
  });
}

function bothDrive(step: Step, net: NetModel, one: Driver, other: Driver): void {
  step.checks.push(togetherCheck(step.model, net, one, other, "surely still drives when it begins to"));
}

/** Outputs on one net that nothing can switch off. */
export function drivenTogether(model: Model): readonly Check[] {
  return model.nets.flatMap((net) => {
    const [one, ...others] = net.drivers.filter(({ chip, output }) => alwaysDrives(chip, output));
    return one ? others.map((other) => togetherCheck(model, net, one, other, "always drives it too")) : [];
  });
}

function togetherCheck(model: Model, net: NetModel, one: Driver, other: Driver, how: string): Check {
  return {
    rule: "contention",
    chip: other.chip.chip.ref,
    pin: other.output.pin,
    net: net.net.name,
    symbol: "both drive",
    reference: `${one.chip.chip.ref} ${one.output.pin}`,
    required: 0,
    available: -model.time.period.max,
    typical: -model.time.period.max,
    note: `${one.chip.chip.ref} ${one.output.pin} ${how}`,
  };
}
