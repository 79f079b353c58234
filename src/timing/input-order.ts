import type { Change } from "../parts/index.js";
import type { ChipStep } from "./chip-step.js";
import type { Open } from "./chip-view.js";
import { EITHER, type LevelSet } from "./level-set.js";
import { isOf } from "./members.js";
import type { OutputModel } from "./model.js";
import { changesBetween, outputLevels } from "./output-levels.js";
import { pastChanges } from "./past-changes.js";
import type { Present, Region } from "./state.js";

/** Of more changes at once no order is told: every combination of them is looked at. */
const MOST_ORDERED = 10;

/** Input changes as bits. */
type Come = number;

interface Order {
  /** Changes that have come, and that have not, wherever the one in question makes the output change in its way. */
  readonly before: Come;
  readonly after: Come;
}

/**
 * In which order the input changes behind one output change must come for each to do what it does: the output of a NAND
 * falls with the last of its inputs that rise, so that none of them makes it fall before the others have come; and it rises
 * with the first that falls. Gates only: of sections that store nothing is told.
 */
export class InputOrder {
  readonly #at: ChipStep;
  readonly #output: OutputModel;
  readonly #base: (LevelSet | undefined)[];
  /** Those of one edge each, and those of several, of which each edge may have come or not at any moment. */
  readonly #clean: Open[] = [];
  readonly #vague: Open[] = [];
  readonly #orders = new Map<string, Order | undefined>();

  constructor(at: ChipStep, output: OutputModel, { members }: Pick<Present, "members">) {
    this.#at = at;
    this.#output = output;
    this.#base = at.chip.fixed.slice();
    for (const pin of at.chip.pins) {
      if (!output.slots.has(pin.slot)) continue;
      const { wave } = pin.net;
      const isMember = (region: Region) => members.some((member) => isOf(member, { pin, region }));
      const { base, regions } = at.step.present(wave);
      let awaited = members.filter(({ slot }) => slot === pin.slot).length;
      for (const region of regions) if (isMember(region)) awaited--;
      const earlier: Region[] = [];
      if (awaited > 0) earlier.push(...pastChanges(at.step, wave));
      let level = earlier.at(-1)?.from ?? base;
      for (const region of [...earlier.reverse(), ...regions]) {
        const open = { pin, region };
        if (isMember(region) || (region.opened && !region.closed))
          (region.clean ? this.#clean : this.#vague).push(open);
        else if (region.closed) level = region.to;
      }
      this.#base[pin.slot] = level;
    }
  }

  /** Whether there is anything to tell: an order of two changes or more, not too many. */
  static tells({ chip }: ChipStep, output: OutputModel, { members }: Pick<Present, "members">): boolean {
    return (
      chip.storage.length === 0 && output.value !== "memory" && members.length > 1 && members.length <= MOST_ORDERED
    );
  }

  /** The input changes that have come wherever this one makes the output change so; itself left out. */
  before(open: Open, change: Change): readonly Open[] {
    return this.#chosen(this.#order(open, change)?.before ?? 0);
  }

  /** The input changes that are yet to come wherever this one makes the output change so. */
  after(open: Open, change: Change): readonly Open[] {
    return this.#chosen(this.#order(open, change)?.after ?? 0);
  }

  #chosen(come: Come): readonly Open[] {
    return this.#clean.filter((_, index) => (come >> index) & 1);
  }

  #order(open: Open, change: Change): Order | undefined {
    const own = this.#clean.findIndex((one) => isSameChange(one, open));
    if (this.#clean.length > MOST_ORDERED || (own < 0 && !this.#vague.some((one) => isSameChange(one, open)))) {
      return undefined;
    }
    const key = `${open.pin.slot} ${open.region.born} ${open.region.order} ${change}`;
    if (!this.#orders.has(key)) this.#orders.set(key, this.#find(own < 0 ? 0 : 1 << own, change));
    return this.#orders.get(key);
  }

  /** `self` is 0 for a change of several edges, which is at either level before and after each. */
  #find(self: Come, change: Change): Order | undefined {
    const all = (1 << this.#clean.length) - 1;
    let [before, after, isMade] = [all, all, false];
    for (let come = 0; come <= all; come++) {
      if (come & self) continue;
      const [first, last] = [this.#shown(come), this.#shown(come | self)];
      if (!changesBetween(first, last).includes(change)) continue;
      isMade = true;
      before &= come;
      after &= ~come;
    }
    return isMade ? { before, after: after & ~self } : undefined;
  }

  #shown(come: Come): LevelSet {
    const levels = this.#base.slice();
    this.#clean.forEach(({ pin, region }, index) => {
      if ((come >> index) & 1) levels[pin.slot] = region.to;
    });
    for (const { pin } of this.#vague) levels[pin.slot] = EITHER;
    return outputLevels(this.#at.step.model, this.#output, (slot) => levels[slot] ?? EITHER);
  }
}

function isSameChange(one: Open, other: Open): boolean {
  return one.pin === other.pin && one.region.born === other.region.born && one.region.order === other.region.order;
}
