import type { Change, Edge } from "../parts/index.js";
import type { ChipStep } from "./chip-step.js";
import { MOST_AT_ONCE, type Open, type Over } from "./chip-view.js";
import type { Logic } from "./compiled-logic.js";
import { carriesData } from "./control.js";
import { EITHER, HIGH, LOW, type LevelSet, UNDRIVEN, isKnown } from "./level-set.js";
import { edgesOf, isOf } from "./members.js";
import type { OutputModel, PinModel } from "./model.js";
import { isSame } from "./moments.js";
import { isRestless, reportRestless } from "./settling.js";
import type { Member, Region, Wave } from "./state.js";
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
      if (!edges.some((edge) => isMember(step.wave(output.cell), edge))) continue;
      const wave = step.ownWave(output.cell);
      const newest = wave.regions.at(-1);
      if (!newest) continue;
      const before = [...newest.early];
      for (const edge of edges) {
        const changes = wave.members.find((member) => isOf(member, edge))?.changes ?? [];
        const first = this.#first(output, newest, changes);
        step.model.time.addEarly(newest.early, this.#earlyThrough(output, wave, newest, edge, first));
      }
      this.#addAfterEnables(output, wave, newest);
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
    if (isRestless(this.#at.step.wave(output.cell))) this.#breakOff(output);
    const wave = this.#at.step.wave(output.cell);
    const after = this.#shows(output, (slot) => view.level(slot, view.all));
    const found = view.opens.flatMap((open) => {
      const known = wave.members.find((member) => isOf(member, open));
      const changes = this.#changes(output, open).filter((change) => !known?.changes.includes(change));
      return changes.length > 0 ? [{ open, changes }] : [];
    });
    if (found.length > 0) {
      const wave = this.#at.step.ownWave(output.cell);
      let region = wave.members.length > 0 ? wave.regions.at(-1) : undefined;
      if (!region) {
        region = this.#at.step.addRegion(wave, wave.level, after, true);
        wave.members = [];
      }
      const before = [...region.early];
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
      for (const { open, changes } of found) {
        const early = this.#at.early(open);
        const first = this.#first(output, region, changes);
        // The first cause must be told, even where it alone can make no first edge.
        const told = first.length > 0 || region.early.length > 0 ? first : changes;
        this.#at.step.model.time.addEarly(region.early, this.#earlyThrough(output, wave, region, open, told));
        addStep(region, this.#through(output, open, changes, early), after);
      }
      this.#addAfterEnables(output, wave, region);
      if (region.clean && wave.members.length > 1) region.clean = this.#changesOnce(output, wave);
      region.to = after;
      wave.level = after;
      if (!region.opened || !isSame(before, region.early)) this.#at.step.comeOpen(output.cell, region);
    } else if (wave.members.length > 0 && wave.level !== after) {
      const own = this.#at.step.ownWave(output.cell);
      const newest = own.regions.at(-1);
      if (newest) newest.to = after;
      own.level = after;
    }
  }

  closeMembers(output: OutputModel, edges: readonly Open[]): void {
    const closing = edges.filter((edge) => isMember(this.#at.step.wave(output.cell), edge));
    if (closing.length === 0) return;
    const wave = this.#at.step.ownWave(output.cell);
    const region = wave.regions.at(-1);
    if (!region) return;
    for (const edge of closing) {
      const member = wave.members.find((m) => isOf(m, edge));
      if (!member) continue;
      member.closed = true;
      if (!edge.region.clean) region.clean = false;
      this.#at.step.model.time.addEarly(
        region.early,
        this.#earlyThrough(output, wave, region, edge, this.#first(output, region, member.changes)),
      );
      const late = this.#at.late(edge);
      this.#at.step.model.time.addLate(region.late, this.#through(output, edge, member.changes, late));
    }
  }

  /** Ends the newest region once nothing still open can move the output: it is then as its causes have left it. */
  finish(output: OutputModel): void {
    const { members } = this.#at.step.wave(output.cell);
    if (!members.some((member) => member.closed)) return;
    const matters = (member: Member) =>
      this.#at.view.opens.some((open) => isOf(member, open) && this.#changes(output, open).length > 0);
    if (members.some((member) => !member.closed && matters(member))) return;
    const wave = this.#at.step.ownWave(output.cell);
    const region = wave.regions.at(-1);
    if (!region) return;
    region.to = this.#shows(output, (slot) => this.#at.view.level(slot, this.#at.view.all));
    this.#endInLevel(output, wave.members, region);
    this.#addOvertaken(output, wave.members, region);
    wave.level = region.to;
    wave.members = [];
    if (output.value === "memory") this.#addAccess(output, region);
    if (region.late.length === 0) this.#at.step.model.time.addLate(region.late, region.early);
    this.#at.step.comeClosed(output.cell, region);
  }

  /**
   * The last edge of a change whose end is known leads to that level, so only the delays of such edges count at the latest: a
   * gate that ends high ends with a rise, an output that ends undriven with its release, whatever it showed before. Where a
   * net is taken or let go on the way counts as well.
   */
  #endInLevel(output: OutputModel, members: readonly Member[], region: Region): void {
    if (!isKnown(region.to)) return;
    const late: Moment[] = [];
    for (const member of members) {
      if (!member.closed) continue;
      const pin = this.#at.chip.pins.find(({ slot }) => slot === member.slot);
      const cause = pin && this.#at.wave(pin).regions.find((one) => isOf(member, { pin, region: one }));
      if (!pin || !cause) return;
      const open = { pin, region: cause };
      const changes = member.changes.filter((change) => mayEnd(region, change));
      this.#at.step.model.time.addLate(late, this.#through(output, open, changes, this.#at.late(open)));
    }
    if (late.length > 0) region.late = late;
  }

  /**
   * Ends a region that goes on and on, because every change comes before the last one is over: a failure of its own, after
   * which the rest is judged as if the output had come to rest.
   */
  #breakOff(output: OutputModel): void {
    const wave = this.#at.step.ownWave(output.cell);
    const region = wave.regions.at(-1);
    wave.members = [];
    if (!region) return;
    reportRestless(this.#at.step, output.net, region, this.#at.chip.chip.ref, output.pin);
    this.#at.step.model.time.addLate(region.late, region.early);
    this.#at.step.comeClosed(output.cell, region);
  }

  /**
   * A change that is still open but can do nothing any more may have done something before the one that ended that, and its
   * delay may be the longer one.
   */
  #addOvertaken(output: OutputModel, members: readonly Member[], region: Region): void {
    const overtaken = members.filter((member) => !member.closed);
    if (overtaken.length === 0) return;
    const opens = this.#at.view.opens.filter((open) => overtaken.some((member) => isOf(member, open)));
    const ends = members.filter((member) => member.closed).flatMap((member) => this.#momentsOf(member));
    for (const open of opens) {
      if (!open.region.clean) region.clean = false;
      const changes = overtaken.find((member) => isOf(member, open))?.changes ?? [];
      const first = this.#first(output, region, changes);
      this.#at.step.model.time.addEarly(region.early, this.#through(output, open, first, this.#at.early(open)));
      const last = changes.filter((change) => mayEnd(region, change));
      this.#at.step.model.time.addLate(region.late, this.#through(output, open, last, ends));
    }
  }

  /** The latest times of a change that is over, at its pin. */
  #momentsOf(member: Member): Moment[] {
    return this.#at.chip.pins.flatMap((pin) => {
      const region = this.#at.wave(pin).regions.find((r) => isOf(member, { pin, region: r }));
      return region ? this.#at.late({ pin, region }) : [];
    });
  }

  /** Data of a memory is valid only an access time after its last address and select, though they came before the enable. */
  #addAccess(output: OutputModel, region: Region): void {
    const { memory } = this.#at.chip;
    if (!memory || !(region.from & UNDRIVEN)) return;
    for (const pin of this.#at.chip.pins) {
      const isAddress = memory.address.includes(pin.slot);
      if (!isAddress && !memory.selects.includes(pin.slot)) continue;
      const last = this.#at
        .wave(pin)
        .regions.filter((r) => r.closed)
        .at(-1);
      if (!last) continue;
      const changes: readonly Change[] = isAddress ? ["rise", "fall"] : ["z-to-high", "z-to-low"];
      const late = this.#at.late({ pin, region: last });
      this.#at.step.model.time.addLate(region.late, this.#after(late, pin, edgesOf(last), output, changes));
    }
  }

  /** What an output can show. */
  #shows(output: OutputModel, sets: (slot: number) => LevelSet): LevelSet {
    const enable = output.enable ? output.enable.possible(sets) : HIGH;
    if (enable === LOW) return UNDRIVEN;
    const value = this.#carriesData(output) || output.value === "memory" ? EITHER : output.value.possible(sets);
    return enable === HIGH ? value : value | UNDRIVEN;
  }

  /** Data of unknown value: whatever comes from outside or from a memory and controls nothing. */
  #carriesData(output: OutputModel): boolean {
    return carriesData(this.#at.step.model, output.net);
  }

  /** The changes that an input change can make at an output, over every state of the other open ones. */
  #changes(output: OutputModel, open: Open): readonly Change[] {
    const { view } = this.#at;
    const index = this.#isAddress(output, open)
      ? view.opens.findIndex((other) => this.#isAddress(output, other) && other.region.clean === open.region.clean)
      : view.indexOf(open);
    const key = output.alike * 2 + (this.#carriesData(output) ? 1 : 0);
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
    for (const others of overs) {
      const before = (slot: number) => view.level(slot, others, vague);
      const after = (slot: number) => view.level(slot, others + 2 ** index, vague);
      const first = this.#shows(output, before);
      const last = this.#shows(output, after);
      if (!open.region.clean) {
        const during = this.#shows(output, (s) => (moved.includes(s) ? before(s) | after(s) | EITHER : after(s)));
        if (!isKnown(during) || isAddress) add(during, during);
      } else if (first !== last || this.#matters(output, moved, isAddress, first, [before, after])) add(first, last);
    }
    return [...changes];
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

  /**
   * The changes that may be the first edge of a region: of an output of two levels one that leaves the level before. Of three
   * levels a pair of changes that cancels may leave one that begins elsewhere.
   */
  #first(output: OutputModel, region: Region, changes: readonly Change[]): readonly Change[] {
    if (output.enable || !isKnown(region.from)) return changes;
    return changes.filter((change) => change === (region.from === LOW ? "rise" : "fall"));
  }

  /**
   * When a cause may make the first edge of a region at the earliest. Of an output that drives nothing before, what it is to
   * show can make it only once the output is enabled: such a change counts from the causes that enable it.
   */
  #earlyThrough(
    output: OutputModel,
    wave: Wave,
    region: Region,
    open: Open,
    changes: readonly Change[],
  ): readonly Moment[] {
    const early = this.#at.early(open);
    const enabling = this.#enabling(output, wave, region);
    const shown = changes.filter((change) => !change.includes("z"));
    if (shown.length === 0 || enabling.length === 0 || enabling.some((one) => isOf(one.member, open))) {
      return this.#through(output, open, changes, early);
    }
    return [
      ...this.#through(
        output,
        open,
        changes.filter((change) => change.includes("z")),
        early,
      ),
      ...enabling.flatMap((one) => this.#through(output, open, shown, one.early)),
    ];
  }

  /** A further cause that enables an output may come before those that were known: what it shows then counts from it too. */
  #addAfterEnables(output: OutputModel, wave: Wave, region: Region): void {
    if (this.#enabling(output, wave, region).length === 0) return;
    for (const open of this.#at.view.opens) {
      const member = wave.members.find((one) => isOf(one, open));
      if (!member) continue;
      const first = this.#first(output, region, member.changes);
      this.#at.step.model.time.addEarly(region.early, this.#earlyThrough(output, wave, region, open, first));
    }
  }

  /** The causes that may enable an output which drives nothing before a region, each with its early moments at its pin. */
  #enabling(output: OutputModel, wave: Wave, { from }: Region) {
    if (!output.enable || output.value === "memory" || from !== UNDRIVEN) return [];
    const found: { readonly member: Member; readonly early: readonly Moment[] }[] = [];
    for (const member of wave.members) {
      if (!member.changes.some((change) => change.startsWith("z"))) continue;
      for (const pin of this.#at.chip.pins) {
        if (pin.slot !== member.slot) continue;
        const region = this.#at.wave(pin).regions.find((one) => isOf(member, { pin, region: one }));
        // Of one that is forgotten nothing is known.
        if (!region) return [];
        found.push({ member, early: this.#at.early({ pin, region }) });
      }
    }
    return found;
  }

  #through(output: OutputModel, open: Open, changes: readonly Change[], moments: readonly Moment[]): Moment[] {
    return this.#after(moments, open.pin, edgesOf(open.region), output, changes);
  }

  #after(
    moments: readonly Moment[],
    pin: PinModel,
    edges: readonly Edge[],
    output: OutputModel,
    changes: readonly Change[],
  ): Moment[] {
    const { model } = this.#at.step;
    return model.delays
      .arcs(pin, edges, output, changes)
      .flatMap((arc) => moments.map(({ path, tick }) => ({ path: model.time.extend(path, arc), tick })));
  }

  /** Whether the output changes at most once in whatever order its open causes come. */
  #changesOnce(output: OutputModel, wave: Wave): boolean {
    const { view } = this.#at;
    const causes = view.opens.flatMap((open, index) => (isMember(wave, open) ? [index] : []));
    const pins = new Set(causes.map((index) => view.opens[index]?.pin));
    if (causes.length > MOST_AT_ONCE || pins.size < causes.length) return false;
    if (causes.some((index) => view.opens[index]?.region.clean === false)) return false;
    const over = (done: number): Over => causes.reduce((sum, index, i) => sum + ((done >> i) & 1) * 2 ** index, 0);
    const level = (done: number) => this.#shows(output, (slot) => view.level(slot, over(done)));
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

/** Whether a change may be the last of a region whose end is known, or is a hand-over, whose time counts for itself. */
function mayEnd({ to }: Region, change: Change): boolean {
  if (!isKnown(to) || change.includes("z")) return true;
  return to === (change === "rise" ? HIGH : LOW);
}

/** Notes the level that a region goes to with these causes, so that its levels can be told apart where it has several. */
function addStep(region: Region, [moment]: readonly Moment[], to: LevelSet): void {
  if (!moment || !isKnown(to) || region.steps.at(-1)?.to === to) return;
  region.steps = [...region.steps, { moment, to }];
}

function isMember(wave: Wave, open: Open): boolean {
  return wave.members.some((member) => isOf(member, open));
}

function changesBetween(from: LevelSet, to: LevelSet): Change[] {
  const changes: Change[] = [];
  if (from & LOW && to & HIGH) changes.push("rise");
  if (from & HIGH && to & LOW) changes.push("fall");
  if (from & UNDRIVEN && to & HIGH) changes.push("z-to-high");
  if (from & UNDRIVEN && to & LOW) changes.push("z-to-low");
  if (from & HIGH && to & UNDRIVEN) changes.push("high-to-z");
  if (from & LOW && to & UNDRIVEN) changes.push("low-to-z");
  return changes;
}
