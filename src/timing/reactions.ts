import type { Check } from "./check.js";
import { ChipStep } from "./chip-step.js";
import type { Component } from "./components.js";
import type { CellId, ChipModel, Model, NetModel, PinModel } from "./model.js";
import { type Readings, ReadingTree } from "./reading-tree.js";
import { closeShared, growShared, openShared } from "./shared-net.js";
import type { Coming, Region } from "./state.js";
import type { FedPart, Step } from "./step.js";
import type { Writes } from "./step-cells.js";
import { checkStrobe } from "./strobe-checks.js";
import type { RegionName } from "./wave-changes.js";

/** A change at an input begins, is over, or turns out to have more causes than when it began. */
export type Happening = "open" | "close" | "grow";

/** What a section or a shared net does when something happens at one of its inputs. */
export interface Reaction {
  readonly writes: Writes;
  /** What it tells and what it plans, in order; times of plans as they are where they are not past already. */
  readonly effects: readonly Effect[];
  readonly checks: readonly Check[];
  /** Which pins of the reader were checked as strobes, one bit each. */
  readonly checked: number;
}
export type Effect = { readonly fed: FedPart } | { readonly plan: Coming } | { readonly growth: Growth };

/** A change under way that has got more causes. */
export interface Growth extends RegionName {
  readonly cell: CellId;
}

/** A section, with the pins at which it sees a wave, or a shared net, that sees the wave of a driver. */
export class Reader {
  /** Chip and pin of each of the pins. */
  readonly places: readonly string[];
  readonly #sees: { readonly chip: ChipModel; readonly pins: readonly PinModel[] } | { readonly net: NetModel };
  readonly #cell: CellId;
  readonly #known: Readonly<Record<Happening, Map<number, ReadingTree<Reaction>>>> = {
    open: new Map(),
    close: new Map(),
    grow: new Map(),
  };

  constructor(sees: { chip: ChipModel; pins: readonly PinModel[] } | { net: NetModel }, cell: CellId) {
    this.#sees = sees;
    this.#cell = cell;
    this.places = "pins" in sees ? sees.pins.map((pin) => `${sees.chip.chip.ref} ${pin.name}`) : [];
  }

  /** The reaction to a change, if it is known; `skipped` are the pins that need no check as strobes, one bit each. */
  known(
    what: Happening,
    region: Pick<Region, "born" | "order">,
    skipped: number,
    read: (looked: number) => number,
  ): Reaction | undefined {
    const found = skipped < MOST_SKIPPED ? this.#known[what].get(keyOf(region, skipped))?.find(read) : undefined;
    return typeof found === "object" ? found : undefined;
  }

  /** Remembers a reaction by what it read, in order. */
  learn(
    what: Happening,
    region: Pick<Region, "born" | "order">,
    skipped: number,
    readings: Readings,
    reaction: Reaction,
  ): void {
    if (skipped >= MOST_SKIPPED) return;
    const key = keyOf(region, skipped);
    const tree = this.#known[what].get(key) ?? new ReadingTree();
    this.#known[what].set(key, tree);
    tree.add(readings, reaction);
  }

  /** Works a reaction out; returns the pins that were checked as strobes, one bit each. */
  react(step: Step, what: Happening, region: Region, skipped: number): number {
    if ("net" in this.#sees) {
      if (what === "open") openShared(step, this.#sees.net, this.#cell, region);
      else if (what === "close") closeShared(step, this.#sees.net, this.#cell, region);
      else growShared(step, this.#sees.net, this.#cell, region);
      return 0;
    }
    const { chip, pins } = this.#sees;
    const at = new ChipStep(step, chip);
    if (what === "grow") at.grow(pins, region);
    if (what === "open") at.open(pins, region);
    if (what !== "close") return 0;
    let checked = 0;
    const places = new Set<string>();
    pins.forEach((pin, index) => {
      const place = this.places[index] ?? "";
      if ((skipped >> index) & 1 || places.has(place) || !checkStrobe(at, { pin, region })) return;
      places.add(place);
      checked |= 1 << index;
    });
    at.close(pins, region);
    return checked;
  }
}

/** Of a change its number, of the pins one bit each. */
function keyOf({ born, order }: Pick<Region, "born" | "order">, skipped: number): number {
  return (order - MOST_ORDERS * born) * MOST_SKIPPED + skipped;
}

const MOST_ORDERS = 1024;
/** Reactions are not remembered where more pins than this leaves room for are skipped. */
const MOST_SKIPPED = 2 ** 10;

/** Who sees each wave in one component. */
export class Readers {
  readonly #model: Model;
  readonly #component: Pick<Component, "has" | "owns">;
  readonly #of: (readonly Reader[] | undefined)[] = [];

  constructor(model: Model, component: Pick<Component, "has" | "owns">) {
    this.#model = model;
    this.#component = component;
  }

  of(cell: CellId): readonly Reader[] {
    return (this.#of[cell] ??= this.#find(cell));
  }

  #find(cell: CellId): readonly Reader[] {
    const own = this.#model.cells[cell];
    if (!own || own.kind === "chip") return [];
    const net = own.kind === "driver" ? own.output.net : own.net;
    if (own.kind === "driver" && net.wave !== cell) {
      return this.#component.owns(net) ? [new Reader({ net }, cell)] : [];
    }
    const chips = [...new Set(net.receivers.map(({ chip }) => chip))].filter((chip) => this.#component.has(chip));
    return chips.map((chip) => {
      const pins = net.receivers.filter((receiver) => receiver.chip === chip).map(({ pin }) => pin);
      return new Reader({ chip, pins }, cell);
    });
  }
}
