import type { Chip } from "../../circuit/index.js";
import { type Demand, MOST_SHORT_NS, RESERVE_NS, costOf, gainNow } from "./demands.js";
import type { StandIn } from "./stand-in.js";

/** A place in the circuit and what may stand there: a chip and its substitutes, a pin and what may come before it. */
export interface Slot {
  /** What it is called in objections: `U3`, `U3 2D`. */
  readonly place: string;
  readonly chip: Chip;
  readonly standIns: readonly StandIn[];
}

/** What stands in a slot: one of its stand-ins, or what is there. */
export type Choice = StandIn | undefined;

/** How bad it is that certain things stand in certain slots at the same time. */
export interface Objection {
  /** By the place of the slot, the key of a stand-in, or the number of the part that is there. */
  readonly standing: ReadonlyMap<string, string>;
  readonly cost: number;
}

/** What a change costs, and each chip that it adds: no more than what a margin is worth. */
const [CHANGE, CHIP] = [0.02, 0.05];
/** What stands in a slot by the name that objections know. */
export function standingIn({ chip }: Slot, choice: Choice): string {
  return choice?.key ?? chip.part.number;
}

/** Something of which there is only so much for all slots together: inputs that a driver bears. */
export interface Limit {
  readonly most: number;
  /** With what is there now. */
  readonly count: number;
  /** How much more a stand-in of a slot takes. */
  added(slot: Slot, standIn: StandIn): number;
}

/** What it costs to be beyond a limit, each beyond it, and how many of them at most. */
const [BEYOND, EACH_BEYOND, MOST_BEYOND] = [10, 2, 20];

function costBeyond({ most }: Limit, count: number): number {
  return count <= most ? 0 : BEYOND + EACH_BEYOND * Math.min(MOST_BEYOND, count - most);
}

/** An objection by the indexes of slots and of what may stand in them, what is there being 0. */
interface Indexed {
  readonly standing: readonly (readonly [slot: number, choice: number])[];
  readonly cost: number;
}

/**
 * Chooses for all slots at once so that as little as possible is short by what proofs found: chains of delays add up, so what a
 * stand-in adds to each margin is known without another proof. Slot by slot, then two slots at a time, until nothing gets
 * better; objections count besides.
 */
export class Chooser {
  readonly #slots: readonly Slot[];
  /** Objections that one of a slot's choices has to do with. */
  readonly #objections: Indexed[][];
  readonly #weights: readonly number[];
  readonly #margins: number[];
  /** By slot and choice: what it adds to which demands. */
  readonly #gains: readonly (readonly ReadonlyMap<number, number>[])[];
  readonly #chosen: number[];
  #cost = 0;

  readonly #costAsIs: number;

  readonly #limits: readonly Limit[];
  readonly #counts: number[];
  /** By slot and choice: what it takes more of each limit. */
  readonly #added: readonly (readonly (readonly number[])[])[];

  constructor(demands: readonly Demand[], slots: readonly Slot[], limits: readonly Limit[]) {
    this.#limits = limits;
    this.#counts = limits.map(({ count }) => count);
    this.#added = slots.map((slot) => [
      limits.map(() => 0),
      ...slot.standIns.map((standIn) => limits.map((limit) => limit.added(slot, standIn))),
    ]);
    this.#slots = slots;
    this.#objections = slots.map(() => []);
    this.#weights = demands.map(({ weight }) => weight);
    this.#margins = demands.map(({ marginNs }) => marginNs);
    this.#chosen = slots.map(() => 0);
    this.#gains = slots.map(({ chip, standIns }) => {
      return [new Map<number, number>(), ...standIns.map((standIn) => gainsOf(demands, chip, standIn))];
    });
    // What is there now was another part when some of it was proved: that counts once for each chip.
    const chips = new Set(slots.map(({ chip }) => chip));
    demands.forEach((demand, index) => {
      for (const chip of chips) this.#margins[index] = (this.#margins[index] ?? 0) + gainNow(demand, chip);
    });
    this.#cost = this.#margins.reduce((sum, margin, index) => sum + this.#costAt(index, margin), 0);
    limits.forEach((limit, index) => {
      this.#cost += costBeyond(limit, this.#counts[index] ?? 0);
    });
    this.#costAsIs = this.#cost;
  }

  /** Things that should not stand together, from now on. */
  object(objections: readonly Objection[]): void {
    for (const one of objections.flatMap((objection) => indexedIn(this.#slots, objection))) {
      for (const [slot] of one.standing) this.#objections[slot]?.push(one);
      if (this.#stands(one)) this.#cost += one.cost;
    }
  }

  /** Goes on from what was chosen before. Returns the choices, by slot, and by how much they cost less than what is there. */
  run(): { readonly choices: readonly Choice[]; readonly gain: number } {
    do while (this.#improve(1));
    while (this.#improve(2));
    const choices = this.#slots.map(({ standIns }, index) => standIns[(this.#chosen[index] ?? 0) - 1]);
    return { choices, gain: this.#costAsIs - this.#cost };
  }

  /** Whether choosing anew for each slot, or each two, made anything better. */
  #improve(together: 1 | 2): boolean {
    let isBetter = false;
    // Only slots that something short rests on can help, and those that somebody objects to beside them.
    const short = new Set(this.#margins.flatMap((margin, index) => (margin < RESERVE_NS ? [index] : [])));
    const beyond = this.#limits.map(({ most }, index) => (this.#counts[index] ?? 0) > most);
    const rests = this.#gains.map(
      (gains, slot) =>
        gains.some((one) => [...one.keys()].some((demand) => short.has(demand))) ||
        this.#added[slot]?.some((added) => added.some((more, index) => more < 0 && beyond[index])) === true,
    );
    const beside = (slot: number) =>
      new Set(this.#objections[slot]?.flatMap(({ standing }) => standing.map(([other]) => other)));
    for (const [slot] of this.#slots.entries()) {
      if (together === 1) isBetter = this.#chooseFor(slot) || isBetter;
      else if (rests[slot]) {
        const objected = beside(slot);
        for (const [other] of this.#slots.entries()) {
          if (other !== slot && (objected.has(other) || (other > slot && rests[other])))
            isBetter = this.#chooseForBoth(slot, other) || isBetter;
        }
      }
    }
    return isBetter;
  }

  #chooseFor(slot: number): boolean {
    const before = this.#chosen[slot] ?? 0;
    let [best, bestCost] = [before, this.#cost - SURELY];
    for (let choice = 0; choice < (this.#gains[slot]?.length ?? 0); choice++) {
      if (choice === before) continue;
      this.#put(slot, choice);
      if (this.#cost < bestCost) [best, bestCost] = [choice, this.#cost];
    }
    this.#put(slot, best);
    return best !== before;
  }

  #chooseForBoth(slot: number, other: number): boolean {
    const before = this.#chosen[slot] ?? 0;
    const otherBefore = this.#chosen[other] ?? 0;
    const least = this.#cost - SURELY;
    for (let choice = 0; choice < (this.#gains[slot]?.length ?? 0); choice++) {
      if (choice === before) continue;
      this.#put(slot, choice);
      this.#chooseFor(other);
      if (this.#cost < least) return true;
      this.#put(other, otherBefore);
    }
    this.#put(slot, before);
    return false;
  }

  #put(slot: number, choice: number): void {
    const now = this.#chosen[slot] ?? 0;
    if (now === choice) return;
    for (const one of this.#objections[slot] ?? []) if (this.#stands(one)) this.#cost -= one.cost;
    this.#cost -= this.#costOfChange(slot, now);
    this.#add(this.#gains[slot]?.[now], -1);
    this.#take(this.#added[slot]?.[now], -1);
    this.#chosen[slot] = choice;
    this.#add(this.#gains[slot]?.[choice], 1);
    this.#take(this.#added[slot]?.[choice], 1);
    this.#cost += this.#costOfChange(slot, choice);
    for (const one of this.#objections[slot] ?? []) if (this.#stands(one)) this.#cost += one.cost;
  }

  #add(gains: ReadonlyMap<number, number> | undefined, sign: 1 | -1): void {
    for (const [demand, gain] of gains ?? []) {
      const before = this.#margins[demand] ?? 0;
      const after = before + sign * gain;
      this.#cost += this.#costAt(demand, after) - this.#costAt(demand, before);
      this.#margins[demand] = after;
    }
  }

  #take(added: readonly number[] | undefined, sign: 1 | -1): void {
    added?.forEach((more, index) => {
      const limit = this.#limits[index];
      if (more === 0 || !limit) return;
      const before = this.#counts[index] ?? 0;
      this.#counts[index] = before + sign * more;
      this.#cost += costBeyond(limit, before + sign * more) - costBeyond(limit, before);
    });
  }

  #costAt(demand: number, margin: number): number {
    return costOf(margin) * (this.#weights[demand] ?? 1);
  }

  #costOfChange(slot: number, choice: number): number {
    const standIn = this.#slots[slot]?.standIns[choice - 1];
    return standIn ? CHANGE + CHIP * standIn.change.chips : 0;
  }

  #stands({ standing }: Indexed): boolean {
    return standing.every(([slot, choice]) => this.#chosen[slot] === choice);
  }
}

/** What a stand-in adds to which demands. */
function gainsOf(demands: readonly Demand[], chip: Chip, standIn: StandIn): ReadonlyMap<number, number> {
  const gains = new Map<number, number>();
  demands.forEach((demand, index) => {
    // Another part in the chip's place takes back what the present one adds to what was proved with one before it.
    const now = isInPlace(standIn) ? gainNow(demand, chip) : 0;
    const gain = standIn.gain(demand.verdict, demand.chips) - now;
    if (gain !== 0) gains.set(index, Math.max(-MOST_SHORT_NS, gain));
  });
  return gains;
}

/** Whether it is the chip itself that something else stands for. */
function isInPlace({ change: { kind } }: StandIn): boolean {
  return kind === "part" || kind === "other pins";
}

/** Nothing where what it objects to cannot come about any more. */
function indexedIn(slots: readonly Slot[], { standing, cost }: Objection): readonly Indexed[] {
  const found = [...standing].map(([place, key]) => {
    const slot = slots.findIndex((one) => one.place === place);
    const own = slots[slot];
    if (!own) return undefined;
    const choice = own.chip.part.number === key ? 0 : 1 + own.standIns.findIndex((one) => one.key === key);
    return choice === 0 && own.chip.part.number !== key ? undefined : ([slot, choice] as const);
  });
  return found.every((one) => one !== undefined) ? [{ standing: found, cost }] : [];
}

/** Less than that is none: sums of the same numbers in another order differ. */
const SURELY = 1e-6;
