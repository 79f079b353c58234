import { type Change, type Edge, isMissing } from "../parts/index.js";
import {
  type CellModel,
  type ChipModel,
  type Logic,
  type Model,
  type NetModel,
  type OutputModel,
  type PinModel,
  EITHER,
  HIGH,
  LOW,
} from "../timing/index.js";
import {
  type Bundle,
  NotTold,
  type OutputWave,
  Race,
  type Span,
  type Word,
  delayed,
  hullOf,
  isOverBefore,
} from "./bundle.js";
import { arcLimits } from "./arc-limits.js";
import { type Cases, type Decision, TooManyCases } from "./decisions.js";
import { levelsIn, setOf, unknownNets, wordOf } from "./levels.js";
import { type Answering, type Input, edgesOf } from "./output-cluster.js";
import type { TypicalRun } from "./typical-run.js";
import { HIGH_TIME, type Linear, PERIOD, type Unknowns, ZERO, plus } from "./unknowns.js";

/** Bundles that run into each other at one output; more are none that a case can be told of. */
const MOST_TOGETHER = 24;
/** Oscillator periods after the last that is judged, in which its changes come. */
export const MORE_TICKS = 6;

/** A clock edge that stores, at the pin. */
export interface Capturing {
  readonly bundle: Bundle;
  readonly span: Span;
  readonly clock: PinModel;
  readonly edge: Edge;
  /** What each bit of the gate holds before it. */
  readonly stored: ReadonlyMap<number, Word>;
}

/** That a bundle has the same number of edges on every board, and the cases that show it. */
export interface Certainty {
  readonly driver: string;
  readonly tick: number;
  readonly edges: number;
  readonly cases: readonly (readonly Decision[])[];
}

/**
 * What every output of a circuit does in its first oscillator periods, as bundles of edges whose times are sums of unknowns.
 * The levels that flip-flops take are those of a board at typical delays; all else follows from the model of uncertainty.
 * Each output is worked out when it is asked for.
 */
export class Unrolling {
  readonly model: Model;
  readonly unknowns: Unknowns;
  /** Oscillator periods from power-up that are judged; some more are worked out. */
  readonly judgedTicks: number;
  /** What was shown of clocks, by the shape of the bundle. */
  readonly certainties = new Map<number, Certainty | "race">();
  readonly #cases: Cases;
  readonly #typical: TypicalRun;
  readonly #unknownNets: ReadonlySet<NetModel>;
  readonly #waves = new Map<number, OutputWave | "working" | NotTold | Race>();
  readonly #captures = new Map<string, readonly Capturing[]>();
  readonly #shapes = new Map<string, number>();
  readonly #stored = new Map<string, OutputWave>();

  constructor(model: Model, unknowns: Unknowns, cases: Cases, typical: TypicalRun, judgedTicks: number) {
    this.model = model;
    this.unknowns = unknowns;
    this.#cases = cases;
    this.#typical = typical;
    this.#unknownNets = unknownNets(model);
    this.judgedTicks = judgedTicks;
  }

  get period(): { readonly min: number; readonly max: number } {
    return this.model.time.period;
  }

  /** What the output of a cell does. Throws NotTold or Race. */
  wave(cell: number): OutputWave {
    const known = this.#waves.get(cell);
    if (known === "working") throw new NotTold("an output that follows from itself at once");
    if (known instanceof Error) throw known;
    if (known) return known;
    this.#waves.set(cell, "working");
    try {
      const made = cell === this.model.oscillator.cell ? this.#oscillator() : this.#output(this.model.cells[cell]);
      this.#waves.set(cell, made);
      return made;
    } catch (error) {
      if (error instanceof NotTold || error instanceof Race) this.#waves.set(cell, error);
      else this.#waves.delete(cell);
      throw error;
    }
  }

  /** What arrives at a pin, by the driver. */
  inputsAt(chip: ChipModel, pin: PinModel): Input[] {
    const { net } = pin;
    if (net.drivers.length === 0 || net.net.input) throw new NotTold(`${net.net.name} comes from outside`);
    return net.drivers.map(({ cell, chip: from, output }): Input => {
      const { first, bundles } = this.wave(cell);
      const name = `wire ${from.chip.ref} ${output.pin} to ${chip.chip.ref} ${pin.name}`;
      const { min, max } = this.model.circuit.wireDelay;
      const wire =
        min === max && min === 0
          ? undefined
          : this.unknowns.number(name, { min, typical: Math.round((min + max) / 2), max });
      return { pin: pin.name, slot: pin.slot, wire, before: first, bundles, storedAt: undefined };
    });
  }

  /** A span as it is at a pin. */
  atPin(span: Span): Span {
    return delayed(span, this.model.circuit.wireDelay);
  }

  /** The time of an edge of a driver as it arrives by an input. */
  arrival(time: Linear, { wire }: Input): Linear {
    return wire === undefined ? time : plus(time, wire);
  }

  #oscillator(): OutputWave {
    const { min, max } = this.model.time.duty;
    const { period } = this;
    const bundles = Array.from({ length: this.judgedTicks + MORE_TICKS }, (_, tick): Bundle[] => {
      const rise = tick === 0 ? ZERO : plus(ZERO, PERIOD, tick);
      const fall = plus(rise, HIGH_TIME);
      const high = { tick, least: Math.floor(min * period.min), most: Math.ceil(max * period.max) };
      return [
        this.#oneEdge({ tick, least: 0, most: 0 }, 0, 1, this.#shape("oscillator rise"), rise),
        this.#oneEdge(high, 1, 0, this.#shape("oscillator fall"), fall),
      ];
    });
    return { first: 0, bundles: bundles.flat() };
  }

  #oneEdge(span: Span, from: Word, to: Word, shape: number, time: Linear): Bundle {
    const edges = [{ time, before: from, after: to }];
    return { span, from, to, shape, isOneEdge: true, edges: () => edges };
  }

  #output(cell: CellModel | undefined): OutputWave {
    if (cell?.kind !== "driver") throw new NotTold("no output");
    const { chip, output } = cell;
    const inputs = this.#inputsOf(chip, output);
    const answering = this.#answering(chip, output, inputs);
    const first = answering.shows(inputs.map(({ before }) => before));
    const bundles: Bundle[] = [];
    let before = inputs.map((input) => input.before);
    for (const group of this.#groups(chip, output, inputs)) {
      const members = inputs.map((input, index): Input => {
        return { ...input, before: before[index] ?? 0, bundles: group[index] ?? [] };
      });
      const bundle = this.#bundle(chip, output, members, answering);
      if (bundle) bundles.push(bundle);
      before = members.map(({ bundles: own, before: was }) => own.at(-1)?.to ?? was);
    }
    return { first, bundles };
  }

  #inputsOf(chip: ChipModel, output: OutputModel): readonly Input[] {
    if (output.value === "memory") throw new NotTold("what a memory holds");
    // Of edges at the very same time that of the first pin counts as the first.
    const slots = [...output.slots].sort((a, b) => a - b);
    return slots.flatMap((slot): Input[] => {
      if (chip.fixed[slot]) return [];
      const pin = chip.pins.find((one) => one.slot === slot);
      if (pin) {
        const inputs = this.inputsAt(chip, pin);
        if (inputs.length > 1) throw new NotTold(`${pin.net.net.name} is read by a gate and has several drivers`);
        return inputs;
      }
      return [this.#storage(chip, slot)];
    });
  }

  #answering(chip: ChipModel, output: OutputModel, inputs: readonly Input[]): Answering {
    const { value, enable } = output;
    if (value === "memory") throw new NotTold("what a memory holds");
    const arcs = new Map<string, number>();
    return {
      shows: (levels) => {
        const sets = (slot: number) => {
          const fixed = chip.fixed[slot];
          if (fixed) return fixed;
          const index = inputs.findIndex((input) => input.slot === slot);
          return index < 0 ? EITHER : setOf(levels[index]);
        };
        return wordOf(value, enable, sets);
      },
      arc: (pin, edge, change) => {
        const key = `${pin} ${edge} ${change}`;
        const known = arcs.get(key) ?? this.#arc(chip, output, pin, edge, change);
        arcs.set(key, known);
        return known;
      },
    };
  }

  #arc({ chip }: ChipModel, output: OutputModel, pin: string, edge: Edge, change: Change): number {
    const figure = chip.part.figures.delay(pin, edge, output.pin, change);
    if (isMissing(figure)) throw new NotTold(figure.missing);
    return this.unknowns.number(`${chip.ref} ${pin} ${edge} to ${output.pin} ${change}`, figure);
  }

  /** The inputs' bundles in groups of which each is over, and the output at rest, before the next begins. */
  #groups(chip: ChipModel, output: OutputModel, inputs: readonly Input[]): readonly (readonly Bundle[])[][] {
    const { period } = this;
    const middle = (period.min + period.max) / 2;
    const limits = inputs.map((input) => arcLimits(chip, output, input));
    const all = inputs
      .flatMap(({ bundles, wire }, input) =>
        bundles.map((bundle) => {
          const span = wire === undefined ? bundle.span : this.atPin(bundle.span);
          // What follows from it at the output.
          return { input, bundle, span, follows: delayed(span, limits[input] ?? { min: 0, max: 0 }) };
        }),
      )
      .sort((a, b) => a.span.tick * middle + a.span.least - (b.span.tick * middle + b.span.least));
    const groups: (readonly Bundle[])[][] = [];
    let group: typeof all = [];
    const end = () => {
      const own = group;
      if (own.length > MOST_TOGETHER) throw new NotTold("changes that never come to rest");
      groups.push(inputs.map((_, input) => own.flatMap((one) => (one.input === input ? [one.bundle] : []))));
      group = [];
    };
    for (const one of all) {
      const isApart = (other: (typeof all)[number]) =>
        isOverBefore(other.span, one.span, period) && isOverBefore(other.follows, one.follows, period);
      if (group.length > 0 && group.every(isApart)) end();
      group.push(one);
    }
    if (group.length > 0) end();
    return groups;
  }

  #bundle(chip: ChipModel, output: OutputModel, members: readonly Input[], answering: Answering): Bundle | undefined {
    const moving = members.filter(({ bundles }) => bundles.length > 0);
    const from = answering.shows(members.map(({ before }) => before));
    const to = answering.shows(members.map(({ before, bundles }) => bundles.at(-1)?.to ?? before));
    if (from === to && !this.#mayChange(chip, output, members, from)) return undefined;
    const spans = moving.flatMap((input) => {
      const limits = arcLimits(chip, output, input);
      return input.bundles.map(({ span }) => delayed(input.wire === undefined ? span : this.atPin(span), limits));
    });
    const span = hullOf(spans, this.period);
    const only = moving.length === 1 ? moving[0]?.bundles : undefined;
    const isOneEdge = from !== to && only?.length === 1 && only[0]?.isOneEdge === true;
    const { ref } = chip.chip;
    const told = members.map(
      ({ before, bundles }) =>
        `${before}${bundles.map((one) => `,${one.shape}@${one.span.tick - span.tick}`).join("")}`,
    );
    const shape = this.#shape(`${ref} ${output.pin} ${told.join(" ")}`);
    return { span, from, to, shape, isOneEdge, edges: (orders) => edgesOf(members, answering, orders) };
  }

  /** Whether an output can do anything while its inputs are at any of the levels that they go through. */
  #mayChange(chip: ChipModel, { value, enable }: OutputModel, members: readonly Input[], from: Word): boolean {
    if (value === "memory") return true;
    const sets = (slot: number) => {
      const fixed = chip.fixed[slot];
      if (fixed) return fixed;
      const input = members.find((one) => one.slot === slot);
      if (!input) return EITHER;
      return input.bundles.reduce((set, bundle) => set | setOf(bundle.to), setOf(input.before) | levelsIn(input));
    };
    const on = enable ? enable.possible(sets) : HIGH;
    if (on === LOW) return from !== 2;
    return on !== HIGH || value.possible(sets) !== setOf(from);
  }

  #shape(text: string): number {
    const known = this.#shapes.get(text) ?? this.#shapes.size;
    this.#shapes.set(text, known);
    return known;
  }

  // ---- Storage ----------------------------------------------------------------------------------------------

  #storage(chip: ChipModel, slot: number): Input {
    const bit = chip.storage.find((one) => one.slot === slot);
    const gate = bit && chip.gates[bit.gate];
    if (!bit || !gate) throw new NotTold("no storage");
    const key = `${chip.index} ${slot}`;
    const captures = this.captures(chip, bit.gate);
    const clock = captures[0]?.clock ?? chip.pins.find((pin) => gate.logic.slots.includes(pin.slot));
    const known = this.#stored.get(key);
    const edge = captures[0]?.edge ?? "rise";
    const input = { pin: clock?.name ?? "", slot, wire: undefined, before: 0 as Word, storedAt: edge };
    if (known) return { ...input, bundles: known.bundles };
    const bundles = captures.flatMap((capture, index): Bundle[] => {
      const from = capture.stored.get(slot) ?? 0;
      const to = captures[index + 1]?.stored.get(slot) ?? this.#last(chip, bit.gate).get(slot) ?? 0;
      if (from === to) return [];
      const shape = this.#shape(`${chip.chip.ref} ${bit.name} ${from}${to} ${capture.bundle.shape}`);
      const [arriving] = this.inputsAt(chip, capture.clock);
      if (!arriving) return [];
      const edges = (orders: Parameters<Bundle["edges"]>[0]) =>
        capture.bundle.edges(orders).map(({ time }) => {
          return { time: this.arrival(time, arriving), before: from, after: to };
        });
      return [{ span: capture.span, from, to, shape, isOneEdge: true, edges }];
    });
    this.#stored.set(key, { first: 0, bundles });
    return { ...input, bundles };
  }

  readonly #lasts = new Map<string, ReadonlyMap<number, Word>>();

  #last(chip: ChipModel, gate: number): ReadonlyMap<number, Word> {
    return this.#lasts.get(`${chip.index} ${gate}`) ?? new Map();
  }

  /** Every edge of a gate's clock that stores, each of which comes on every board. Throws NotTold or Race. */
  captures(chip: ChipModel, gateIndex: number): readonly Capturing[] {
    const key = `${chip.index} ${gateIndex}`;
    const known = this.#captures.get(key);
    if (known) return known;
    const gate = chip.gates[gateIndex];
    if (!gate || gate.kind !== "clock") throw new NotTold("a latch or a write");
    const clock = this.#onlyPin(chip, gate.logic);
    for (const bit of gate.bits) {
      if (bit.overrides.some(({ when }) => this.#mayBe(chip, when))) throw new NotTold("a clear or preset");
    }
    const [input, another] = this.inputsAt(chip, clock);
    if (!input || another) throw new NotTold("a clock of several drivers");
    const isOpen = (level: Word) =>
      gate.logic.possible((slot) => (slot === clock.slot ? setOf(level) : chip.fixed[slot] || EITHER)) === HIGH;
    const found: Capturing[] = [];
    let stored: ReadonlyMap<number, Word> = new Map(gate.bits.map(({ slot }) => [slot, 0]));
    let edge = 0;
    for (const bundle of input.bundles) {
      this.#sure(clock.net.drivers[0]?.output, clock.net.drivers[0]?.chip, bundle);
      if (bundle.from === bundle.to) continue;
      const index = edge++;
      if (!isOpen(bundle.to) || isOpen(bundle.from)) continue;
      const at = this.#typical.edge(clock.net.net.id, index);
      if (at === undefined) break;
      found.push({ bundle, span: this.atPin(bundle.span), clock, edge: bundle.to === 1 ? "rise" : "fall", stored });
      const before = stored;
      const sets = (slot: number) => {
        const fixed = chip.fixed[slot];
        if (fixed) return fixed;
        const pin = chip.pins.find((one) => one.slot === slot);
        if (pin) return this.#unknownNets.has(pin.net) ? EITHER : this.#typical.levelBefore(pin.net.net.id, at);
        return setOf(before.get(slot));
      };
      stored = new Map(
        gate.bits.map(({ slot, next }) => {
          const level = next.possible(sets);
          if (level !== LOW && level !== HIGH) throw new NotTold("data of unknown value");
          return [slot, level === HIGH ? 1 : 0] as const;
        }),
      );
    }
    this.#lasts.set(key, stored);
    this.#captures.set(key, found);
    return found;
  }

  /** Throws Race unless every edge at a pin comes on every board. */
  sureAt(chip: ChipModel, pin: PinModel): void {
    for (const [index, { bundles }] of this.inputsAt(chip, pin).entries()) {
      const driver = pin.net.drivers[index];
      for (const bundle of bundles) this.#sure(driver?.output, driver?.chip, bundle);
    }
  }

  /** Throws Race unless a bundle is one edge, or none where it leads nowhere, on every board. */
  #sure(output: OutputModel | undefined, chip: ChipModel | undefined, bundle: Bundle): void {
    if (bundle.isOneEdge) return;
    const known = this.certainties.get(bundle.shape);
    if (known === "race") throw new Race(`${chip?.chip.ref ?? ""} ${output?.pin ?? ""}`);
    if (known) return;
    const expected = bundle.from === bundle.to ? 0 : 1;
    const leaves = this.#exploreEdges(bundle);
    const isSure = leaves?.every(({ value }) => value.length === expected) === true;
    if (!leaves || !isSure) {
      this.certainties.set(bundle.shape, "race");
      throw new Race(`${chip?.chip.ref ?? ""} ${output?.pin ?? ""}`);
    }
    this.certainties.set(bundle.shape, {
      driver: `${chip?.chip.ref ?? ""} ${output?.pin ?? ""}`,
      tick: bundle.span.tick,
      edges: expected,
      cases: leaves.map(({ decisions }) => decisions),
    });
  }

  #exploreEdges(bundle: Bundle) {
    try {
      return this.#cases.explore((orders) => bundle.edges(orders));
    } catch (error) {
      if (error instanceof TooManyCases) return undefined;
      throw error;
    }
  }

  #onlyPin(chip: ChipModel, logic: Logic): PinModel {
    const pins = chip.pins.filter(({ slot }) => logic.slots.includes(slot) && !chip.fixed[slot]);
    const [pin, another] = pins;
    if (!pin || another) throw new NotTold("a clock of several pins");
    return pin;
  }

  /** Whether a condition may be true at any time. */
  #mayBe(chip: ChipModel, when: Logic): boolean {
    const sets = (slot: number) => {
      const fixed = chip.fixed[slot];
      if (fixed) return fixed;
      const pin = chip.pins.find((one) => one.slot === slot);
      if (!pin) return EITHER;
      return this.inputsAt(chip, pin).reduce(
        (set, input) =>
          input.bundles.reduce((all, { from, to }) => all | setOf(from) | setOf(to), set | setOf(input.before)),
        0,
      );
    };
    return when.possible(sets) !== LOW;
  }
}
