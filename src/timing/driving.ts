import type { Change } from "../parts/index.js";
import type { ChipStep } from "./chip-step.js";
import { MOST_AT_ONCE, type Open, type Over, hasCome } from "./chip-view.js";
import type { Logic } from "./compiled-logic.js";
import { carriesData } from "./control.js";
import { isAwaiting, isEcho } from "./feedback.js";
import { EITHER, type LevelSet, UNDRIVEN, isKnown } from "./level-set.js";
import { isOf } from "./members.js";
import type { OutputModel } from "./model.js";
import { isSame } from "./moments.js";
import { changesBetween, outputLevels } from "./output-levels.js";
import { OutputTimes } from "./output-times.js";
import { isSurelyBefore } from "./sampling-order.js";
import { isRestless, reportRestless } from "./settling.js";
import type { Member, Present, Region } from "./state.js";
import type { Moment } from "./moment.js";

/** What the open changes of a section do to its outputs. */
export class Driving {
  readonly #at: ChipStep;

  constructor(at: ChipStep) {
    this.#at = at;
  }

  /** An open change at these pins may have more causes than when it opened. */
  grow(edges: readonly Open[]): void {
    const { step, chip } = this.#at;
    for (const output of chip.outputs) {
      if (!edges.some((edge) => isMember(step.present(output.cell), edge))) continue;
      const wave = step.ownPresent(output.cell);
      const newest = wave.regions.at(-1);
      if (!newest) continue;
      const before = [...newest.early];
      const times = new OutputTimes(this.#at, output, wave, newest);
      for (const edge of edges) {
        const changes = wave.members.find((member) => isOf(member, edge))?.changes ?? [];
        times.addEarly(edge, changes);
      }
      times.addEarlyOfAll();
      if (!isSame(before, newest.early)) step.comeOpen(output.cell, newest);
    }
  }

  /** Lets every output begin to change that now may. */
  drive(): void {
    for (const output of this.#at.chip.outputs) this.#driveOutput(output);
  }

  #driveOutput(output: OutputModel): void {
    const { view } = this.#at;
    if (!view.opens.some((_, index) => view.moved(index).some((slot) => output.slots.has(slot)))) return;
    if (isRestless(this.#at.step.present(output.cell))) this.#breakOff(output);
    const wave = this.#at.step.present(output.cell);
    const after = outputLevels(this.#at.step.model, output, (slot) => view.level(slot, view.all));
    const found = view.opens.flatMap((open) => {
      if (open.region.early.every((moment) => isEcho(this.#at.step.model, output, moment))) return [];
      const known = wave.members.find((member) => isOf(member, open));
      const changes = this.#changes(output, open).filter((change) => !known?.changes.includes(change));
      return changes.length > 0 ? [{ open, changes }] : [];
    });
    if (found.length > 0) {
      const wave = this.#at.step.ownPresent(output.cell);
      let region = wave.members.length > 0 ? wave.regions.at(-1) : undefined;
      if (!region) {
        region = this.#at.step.addRegion(wave, wave.level, after, true);
        wave.members = [];
      }
      const before = [...region.early];
      const ledTo = region.to;
      for (const { open, changes } of found) {
        const known = wave.members.find((member) => isOf(member, open));
        if (!open.region.clean) region.clean = false;
        if (known) known.changes = [...known.changes, ...changes];
        else {
          if (wave.members.some((member) => member.closed)) region.clean = false;
          const { born, order } = open.region;
          wave.members.push({ slot: open.pin.slot, born, order, closed: false, changes });
        }
      }
      const times = new OutputTimes(this.#at, output, wave, region);
      for (const { open, changes } of found) {
        times.addEarly(open, changes);
        addStep(region, times.through(open, changes, this.#at.early(open)), after);
      }
      times.addEarlyOfAll();
      if (region.clean && wave.members.length > 1) region.clean = this.#changesOnce(output, wave);
      region.to = after;
      wave.level = after;
      if (!region.opened || region.to !== ledTo || !isSame(before, region.early)) {
        this.#at.step.comeOpen(output.cell, region);
      }
    } else if (wave.members.length > 0 && wave.level !== after) {
      const own = this.#at.step.ownPresent(output.cell);
      const newest = own.regions.at(-1);
      own.level = after;
      if (!newest) return;
      newest.to = after;
      if (newest.opened) this.#at.step.comeOpen(output.cell, newest);
    }
  }

  closeMembers(output: OutputModel, edges: readonly Open[]): void {
    const closing = edges.filter((edge) => isMember(this.#at.step.present(output.cell), edge));
    if (closing.length === 0) return;
    const wave = this.#at.step.ownPresent(output.cell);
    const region = wave.regions.at(-1);
    if (!region) return;
    const times = new OutputTimes(this.#at, output, wave, region);
    for (const edge of closing) {
      const member = wave.members.find((m) => isOf(m, edge));
      if (!member) continue;
      member.closed = true;
      if (!edge.region.clean) region.clean = false;
      times.addEarly(edge, member.changes);
      times.addLate(edge, member.changes);
    }
  }

  /** Ends the newest region once nothing still open can move the output: it is then as its causes have left it. */
  finish(output: OutputModel): void {
    const { members } = this.#at.step.present(output.cell);
    if (!members.some((member) => member.closed)) return;
    const matters = (member: Member) =>
      this.#at.view.opens.some((open) => isOf(member, open) && this.#changes(output, open).length > 0);
    const awaited = members.filter((member) => !member.closed && matters(member));
    const round = this.#at.view.opens.filter((open) => isAwaiting(this.#at, output, open));
    if (awaited.some((member) => !round.some((open) => isOf(member, open)))) {
      this.#noteDriving(output);
      return;
    }
    const wave = this.#at.step.ownPresent(output.cell);
    const region = wave.regions.at(-1);
    if (!region) return;
    region.to = outputLevels(this.#at.step.model, output, (slot) => this.#at.view.level(slot, this.#at.view.all));
    const times = new OutputTimes(this.#at, output, wave, region);
    times.endInLevel();
    times.addOvertaken();
    for (const member of awaited) {
      const open = round.find((one) => isOf(member, one));
      if (open) times.addLate(open, member.changes);
    }
    wave.level = region.to;
    wave.members = [];
    times.addAccess();
    if (region.late.length === 0) this.#at.step.model.time.addLate(region.late, region.early);
    this.#at.step.comeClosed(output.cell, region);
  }

  /** Notes of a change that is not over whether the output by now surely drives, whatever that is open brings. */
  #noteDriving(output: OutputModel): void {
    const { step, view } = this.#at;
    const newest = step.present(output.cell).regions.at(-1);
    if (!output.enable || !newest || newest.drove || (newest.from & UNDRIVEN) === 0) return;
    if (outputLevels(step.model, output, (slot) => view.level(slot, 0, view.all)) & UNDRIVEN) return;
    const own = step.ownPresent(output.cell).regions.at(-1);
    if (own) own.drove = true;
  }

  /**
   * Ends a region that goes on and on, because every change comes before the last one is over: a failure of its own, after
   * which the rest is judged as if the output had come to rest.
   */
  #breakOff(output: OutputModel): void {
    const wave = this.#at.step.ownPresent(output.cell);
    const region = wave.regions.at(-1);
    wave.members = [];
    if (!region) return;
    reportRestless(this.#at.step, output.net, region, this.#at.chip.chip.ref, output.pin);
    this.#at.step.model.time.addLate(region.late, region.early);
    this.#at.step.comeClosed(output.cell, region);
  }

  /** The changes that an input change can make at an output, over every state of the other open ones. */
  #changes(output: OutputModel, open: Open): readonly Change[] {
    const { view } = this.#at;
    const index = this.#isAddress(output, open)
      ? view.opens.findIndex((other) => this.#isAddress(output, other) && other.region.clean === open.region.clean)
      : view.indexOf(open);
    const key = output.alike * 2 + (carriesData(this.#at.step.model, output.net) ? 1 : 0);
    return view.changes(index, key, () => this.#findChanges(output, open, index));
  }

  /** Whether an open change is of an address bit of a memory: what one can do at an output, each can. */
  #isAddress(output: OutputModel, { pin: { slot } }: Open): boolean {
    if (output.value !== "memory" || output.enable?.slots.includes(slot)) return false;
    return this.#at.chip.memory?.address.includes(slot) ?? false;
  }

  #findChanges(output: OutputModel, open: Open, index: number): readonly Change[] {
    const { view } = this.#at;
    const moved = view.moved(index);
    const reads = (logic: Logic | undefined) => logic?.slots.some((slot) => moved.includes(slot)) ?? false;
    const isAddress = output.value === "memory" && (this.#at.chip.memory?.address.includes(open.pin.slot) ?? false);
    const readsValue = output.value === "memory" ? isAddress : reads(output.value);
    const readsEnable = reads(output.enable);
    if (!readsValue && !readsEnable) return [];
    const changes = new Set<Change>();
    const add = (from: LevelSet, to: LevelSet) => {
      for (const change of changesBetween(from, to)) {
        if (change.includes("z") ? readsEnable : readsValue) changes.add(change);
      }
    };
    const slots = output.value === "memory" ? new Set(output.enable?.slots) : output.slots;
    const { overs, vague } = view.choices(slots, index);
    // Of a memory's address bits one stands for all, whichever comes first.
    for (const others of isAddress ? overs : this.#inOrder(open, overs)) {
      const before = (slot: number) => view.level(slot, others, vague);
      const after = (slot: number) => view.level(slot, others + 2 ** index, vague);
      const first = outputLevels(this.#at.step.model, output, before);
      const last = outputLevels(this.#at.step.model, output, after);
      if (!open.region.clean) {
        const during = outputLevels(this.#at.step.model, output, (s) =>
          moved.includes(s) ? before(s) | after(s) | EITHER : after(s),
        );
        if (!isKnown(during) || isAddress) add(during, during);
      } else if (first !== last || this.#matters(output, moved, isAddress, first, [before, after])) add(first, last);
    }
    return [...changes];
  }

  /** Those of these choices of open changes in which all has come that surely comes before a change. */
  #inOrder(change: Open, overs: readonly Over[]): readonly Over[] {
    if (overs.length < 2) return overs;
    const before = this.#at.view.opens.flatMap((open, index) =>
      overs.some((over) => hasCome(over, index)) && isSurelyBefore(this.#at, open, change) ? [index] : [],
    );
    return overs.filter((over) => before.every((index) => hasCome(over, index)));
  }

  /** Whether an output that may be the same before and after a change of unknown value may yet change with it. */
  #matters(
    output: OutputModel,
    moved: readonly number[],
    isAddress: boolean,
    shown: LevelSet,
    [before, after]: readonly [before: (slot: number) => LevelSet, after: (slot: number) => LevelSet],
  ): boolean {
    if (isKnown(shown)) return false;
    const moves = (logic: Logic) =>
      logic.possible(before) !== logic.possible(after) ||
      moved.some((slot) => logic.dependsOn(slot, before) || logic.dependsOn(slot, after));
    const { enable, value } = output;
    return isAddress || (enable !== undefined && moves(enable)) || (value !== "memory" && moves(value));
  }

  /** Whether the output changes at most once in whatever order its open causes come. */
  #changesOnce(output: OutputModel, wave: Present): boolean {
    const { view } = this.#at;
    const causes = view.opens.flatMap((open, index) => (isMember(wave, open) ? [index] : []));
    const pins = new Set(causes.map((index) => view.opens[index]?.pin));
    if (causes.length > MOST_AT_ONCE || pins.size < causes.length) return false;
    if (causes.some((index) => view.opens[index]?.region.clean === false)) return false;
    const over = (done: number): Over => causes.reduce((sum, index, i) => sum + ((done >> i) & 1) * 2 ** index, 0);
    const level = (done: number) => outputLevels(this.#at.step.model, output, (slot) => view.level(slot, over(done)));
    const all = (1 << causes.length) - 1;
    const visit = (done: number, changes: number): boolean => {
      const here = level(done);
      if (!isKnown(here)) return false;
      return causes.every((_, i) => {
        if ((done >> i) & 1) return true;
        const next = done | (1 << i);
        const count = changes + (level(next) === here ? 0 : 1);
        return count <= 1 && visit(next, count);
      });
    };
    return visit(0, 0) && isKnown(level(all));
  }
}

/** Notes the level that a region goes to with these causes, so that its levels can be told apart where it has several. */
function addStep(region: Region, [moment]: readonly Moment[], to: LevelSet): void {
  if (!moment || !isKnown(to) || region.steps.at(-1)?.to === to) return;
  region.steps = [...region.steps, { moment, to }];
}

function isMember(wave: Present, open: Open): boolean {
  return wave.members.some((member) => isOf(member, open));
}
