import type { Change, Edge } from "../parts/index.js";
import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { isEcho } from "./feedback.js";
import { InputOrder } from "./input-order.js";
import { HIGH, LOW, UNDRIVEN, isKnown } from "./level-set.js";
import { find } from "./iterables.js";
import { edgesOf, isOf } from "./members.js";
import type { OutputModel, PinModel } from "./model.js";
import { leastGap } from "./moments.js";
import type { Moment } from "./moment.js";
import { lastFirst } from "./past-changes.js";
import type { Member, Present, Region } from "./state.js";

/** When a change of one output of a section begins and ends, by the input changes that it rests on. */
export class OutputTimes {
  readonly #at: ChipStep;
  readonly #output: OutputModel;
  readonly #wave: Pick<Present, "members" | "regions">;
  readonly #region: Region;
  #order: InputOrder | undefined;

  /** Of the newest region of the wave, whose members are the causes. */
  constructor(at: ChipStep, output: OutputModel, wave: Pick<Present, "members" | "regions">, region: Region) {
    this.#at = at;
    this.#output = output;
    this.#wave = wave;
    this.#region = region;
    if (InputOrder.tells(at, output, wave)) this.#order = new InputOrder(at, output, wave);
  }

  /** Adds when this cause may make the first edge of the region at the earliest, by these of the changes that it makes. */
  addEarly(open: Open, changes: readonly Change[]): void {
    const first = this.#first(changes);
    // The first cause must be told, even where it alone can make no first edge.
    this.#addEarly(open, first.length > 0 || this.#region.early.length > 0 ? first : changes);
    if (first.length < changes.length && this.#overlaps()) this.#addEarly(open, changes);
  }

  /** Adds what has become possible through further causes. */
  addEarlyOfAll(): void {
    const isOverlapping = this.#overlaps();
    if (!isOverlapping && !this.#order && this.#enabling().length === 0) return;
    for (const open of this.#at.view.opens) {
      const member = this.#wave.members.find((one) => isOf(one, open));
      // With a further cause it may need others no more.
      if (member) this.#addEarly(open, isOverlapping ? member.changes : this.#first(member.changes));
    }
  }

  #addEarly(open: Open, changes: readonly Change[]): void {
    this.#at.step.model.time.addEarly(this.#region.early, this.#early(open, changes));
  }

  /**
   * The changes that may be the first edge of the region: of an output of two levels one that leaves the level before. Of
   * three levels a pair of changes that cancels may leave one that begins elsewhere.
   */
  #first(changes: readonly Change[]): readonly Change[] {
    const { from } = this.#region;
    if (this.#output.enable || !isKnown(from)) return changes;
    return changes.filter((change) => change === (from === LOW ? "rise" : "fall"));
  }

  /**
   * Whether an edge that leaves the level before may cancel with the change before it, which is not over: then one that comes
   * back to that level may be the first.
   */
  #overlaps(): boolean {
    const before = this.#wave.regions.at(-2);
    if (!before || before.closed) return false;
    const gap = leastGap(this.#at.step.model.time, before.late, this.#region.early);
    return gap !== undefined && gap.fs <= 0;
  }

  /** Adds when this cause makes the last edge of the region at the latest, by changes of these. */
  addLate(open: Open, changes: readonly Change[]): void {
    this.#at.step.model.time.addLate(this.#region.late, this.through(open, changes, this.#at.late(open)));
  }

  /**
   * The last edge of a change whose end is known leads to that level, so only the delays of such edges count at the latest: a
   * gate that ends high ends with a rise, an output that ends undriven with its release, whatever it showed before. Where a
   * net is taken or let go on the way counts as well.
   */
  endInLevel(): void {
    if (!isKnown(this.#region.to)) return;
    const late: Moment[] = [];
    for (const member of this.#wave.members) {
      if (!member.closed) continue;
      const open = this.#causeOf(member);
      if (!open) return;
      const changes = member.changes.filter((change) => this.#mayEnd(change));
      const over = (change: Change) => this.#firstOver([open, ...this.#closedAfter(open, change)]);
      this.#at.step.model.time.addLate(late, this.#throughEach(open, changes, over));
    }
    if (late.length > 0) this.#region.late = late;
  }

  /**
   * A change that is still open but can do nothing any more may have done something before the one that ended that, and its
   * delay may be the longer one.
   */
  addOvertaken(): void {
    const overtaken = this.#wave.members.filter((member) => !member.closed);
    if (overtaken.length === 0) return;
    const region = this.#region;
    const ends = this.#wave.members.flatMap((member) => {
      const open = member.closed ? this.#causeOf(member) : undefined;
      return open ? this.#at.late(open) : [];
    });
    for (const open of this.#at.view.opens) {
      const member = overtaken.find((one) => isOf(one, open));
      if (!member) continue;
      if (!open.region.clean) region.clean = false;
      this.addEarly(open, member.changes);
      const changes = member.changes.filter((change) => this.#mayEnd(change));
      const over = (change: Change) => {
        const after = this.#closedAfter(open, change);
        return after.length > 0 ? this.#firstOver(after) : ends;
      };
      this.#at.step.model.time.addLate(region.late, this.#throughEach(open, changes, over));
    }
  }

  /** Data of a memory is valid only an access time after its last address and select, though they came before the enable. */
  addAccess(): void {
    const { memory } = this.#at.chip;
    if (!memory || !(this.#region.from & UNDRIVEN)) return;
    for (const pin of this.#at.chip.pins) {
      const isAddress = memory.address.includes(pin.slot);
      if (!isAddress && !memory.selects.includes(pin.slot)) continue;
      const last = find(lastFirst(this.#at.step, pin.net.wave), ({ closed }) => closed);
      if (!last) continue;
      const changes: readonly Change[] = isAddress ? ["rise", "fall"] : ["z-to-high", "z-to-low"];
      const late = this.#at.late({ pin, region: last });
      this.#at.step.model.time.addLate(this.#region.late, this.#after(late, pin, edgesOf(last), changes));
    }
  }

  /** Moments at a cause's pin and from there through the section by these changes. */
  through(open: Open, changes: readonly Change[], moments: readonly Moment[]): Moment[] {
    return this.#after(moments, open.pin, edgesOf(open.region), changes);
  }

  #after(moments: readonly Moment[], pin: PinModel, edges: readonly Edge[], changes: readonly Change[]): Moment[] {
    const { model } = this.#at.step;
    const own = moments.filter((moment) => !isEcho(model, this.#output, moment));
    return model.delays
      .arcs(pin, edges, this.#output, changes)
      .flatMap((arc) => own.map(({ path, tick }) => ({ path: model.time.extend(path, arc), tick })));
  }

  /**
   * When a cause may make the first edge of a region at the earliest: where it needs others to have come before it, not before
   * the last of them. Of an output that drives nothing before, what it is to show can make it only once the output is
   * enabled: such a change counts from the causes that enable it.
   */
  #early(open: Open, changes: readonly Change[]): readonly Moment[] {
    const enabling = this.#enabling();
    const isOwn = enabling.length === 0 || enabling.some((one) => isOf(one.member, open));
    const own = changes.filter((change) => isOwn || change.includes("z"));
    const shown = changes.filter((change) => !own.includes(change));
    return [
      ...this.#throughEach(open, own, (change) => this.#lastToBegin(open, change)),
      ...(shown.length > 0 ? enabling.flatMap((one) => this.through(open, shown, one.early)) : []),
    ];
  }

  /** Through the section by each of these changes, from the moments that count for it. */
  #throughEach(
    open: Open,
    changes: readonly Change[],
    momentsOf: (change: Change) => readonly Moment[],
  ): readonly Moment[] {
    const alike = new Map<readonly Moment[], Change[]>();
    for (const change of changes) {
      const moments = momentsOf(change);
      alike.set(moments, [...(alike.get(moments) ?? []), change]);
    }
    return [...alike].flatMap(([moments, own]) => this.through(open, own, moments));
  }

  /** Early moments of a cause, or of one without which it does not make the change, whichever begins last. */
  #lastToBegin(open: Open, change: Change): readonly Moment[] {
    const own = this.#at.early(open);
    const { time } = this.#at.step.model;
    return (this.#order?.before(open, change) ?? []).reduce((last, other) => {
      const early = this.#at.early(other);
      return time.beginOf(early) > time.beginOf(last) ? early : last;
    }, own);
  }

  /** The late moments of whichever of these causes is over first. */
  #firstOver(opens: readonly Open[]): readonly Moment[] {
    const { time } = this.#at.step.model;
    return opens
      .map((open) => this.#at.late(open))
      .reduce((first, late) => (time.endOf(late) < time.endOf(first) ? late : first));
  }

  /** The causes that are over and come only after this one makes the change. */
  #closedAfter(open: Open, change: Change): readonly Open[] {
    const after = this.#order?.after(open, change) ?? [];
    return after.filter((one) => this.#wave.members.some((member) => member.closed && isOf(member, one)));
  }

  /** The causes that may enable an output which drives nothing before a region, each with its early moments at its pin. */
  #enabling() {
    if (!this.#output.enable || this.#output.value === "memory" || this.#region.from !== UNDRIVEN) return [];
    const found: { readonly member: Member; readonly early: readonly Moment[] }[] = [];
    for (const member of this.#wave.members) {
      if (!member.changes.some((change) => change.startsWith("z"))) continue;
      const open = this.#causeOf(member);
      // Of one that is forgotten nothing is known.
      if (!open) return [];
      found.push({ member, early: this.#at.early(open) });
    }
    return found;
  }

  /** The input change that a member is; undefined where it is forgotten. */
  #causeOf(member: Member): Open | undefined {
    const pin = this.#at.chip.pins.find(({ slot }) => slot === member.slot);
    const region = pin && find(lastFirst(this.#at.step, pin.net.wave), (one) => isOf(member, { pin, region: one }));
    return pin && region && { pin, region };
  }

  /** Whether a change may be the last of the region whose end is known, or is a hand-over, whose time counts for itself. */
  #mayEnd(change: Change): boolean {
    const { to } = this.#region;
    if (!isKnown(to) || change.includes("z")) return true;
    return to === (change === "rise" ? HIGH : LOW);
  }
}
