import {
  type Expression,
  type Levels,
  type ProcessorBus,
  HIGH,
  LOW,
  namesIn,
  possibleLevels,
} from "../../parts/index.js";
import { type Fs, type Range, fs } from "../../quantity/index.js";
import type { Chip, Net, PinRef } from "../circuit.js";
import { ArcDelays, type Span, hull, plus } from "./arc-delays.js";

/** What a processor reads: whether the data are there in time and long enough, and whether they are gone before it writes. */
export interface Reads {
  /** Chips that drive its data pins. */
  readonly chips: readonly string[];
  /** The pin from which data come latest for when they are wanted, and the data pin; `margin` is what is left. */
  readonly access: PinSlack | undefined;
  /** The pin by whose change data go soonest for how long they are wanted. */
  readonly hold: PinSlack | undefined;
  /** By how much the slowest chip lets go before the processor may drive data itself; undefined where nothing tells. */
  readonly letGo: { readonly chip: string; readonly margin: Fs } | undefined;
  /** Nets that choose what is read and that do not come from the processor's pins alone. */
  readonly others: readonly string[];
  /** Pins of the processor that choose too and for which its sheet, as it is on record, has no times. */
  readonly untimed: readonly string[];
  readonly delays: ArcDelays;
}

export interface PinSlack {
  readonly pin: string;
  readonly data: string;
  readonly margin: Fs;
}

/** How a net follows the processor's pins, in fs after each. */
interface Arrival {
  readonly pins: ReadonlyMap<string, Span>;
  /** What it follows too, where that is known to be nothing of the processor's. */
  readonly others: ReadonlySet<string>;
}

/** Whether a pin brings what is read, or chooses what that is. */
type Role = "datum" | "choice";

const NOTHING: Arrival = { pins: new Map(), others: new Set() };

/**
 * Follows the chips on a processor's data pins back to its address and control pins: through gates, buffers and the access of
 * memories. What a flip-flop holds, or what comes from elsewhere, is read as it is; where it chooses what is read, too little
 * is known. Undefined where no chip drives data. `wire` are the limits of a wire's delay.
 */
export function findReads(chip: Chip, bus: ProcessorBus, wire: Range<Fs>): Reads | undefined {
  const data = chip.part.behaviour.pins.flatMap(({ name, role }) => {
    const net = role === "in-out" ? chip.nets.get(name) : undefined;
    const drivers = net?.drivers.filter((driver) => driver.chip.ref !== chip.ref) ?? [];
    return drivers.map((driver) => ({ name, driver }));
  });
  if (data.length === 0) return undefined;
  const search = new ReadSearch(chip, bus, wire);
  let access: PinSlack | undefined;
  let hold: PinSlack | undefined;
  const others = new Set<string>();
  for (const { name, driver } of data) {
    const [comes, goes] = [search.ofDriver(driver, "data", "datum"), search.ofDriver(driver, "all", "datum")];
    for (const other of comes.others) others.add(other);
    for (const { pins, within, kept } of bus.reading.from) {
      for (const pin of pins) {
        const latest = comes.pins.get(pin);
        const soonest = goes.pins.get(pin);
        if (latest) access = lesser(access, { pin, data: name, margin: fs(within - latest.max - wire.max) });
        // Without a demand the wires' own delays are enough.
        if (soonest && bus.reading.hold > 0)
          hold = lesser(hold, { pin, data: name, margin: fs(kept + soonest.min + wire.min - bus.reading.hold) });
      }
    }
  }
  return {
    chips: [...new Set(data.map(({ driver }) => driver.chip.ref))],
    access,
    hold,
    letGo: search.letGo(data.map(({ driver }) => driver)),
    others: [...others],
    untimed: [...search.untimed],
    delays: search.delays,
  };
}

function lesser(one: PinSlack | undefined, other: PinSlack): PinSlack {
  return one && one.margin <= other.margin ? one : other;
}

class ReadSearch {
  readonly delays = new ArcDelays();
  readonly untimed = new Set<string>();
  readonly #chip: Chip;
  readonly #bus: ProcessorBus;
  readonly #wire: Range<Fs>;
  readonly #way = new Set<Net>();

  constructor(chip: Chip, bus: ProcessorBus, wire: Range<Fs>) {
    this.#chip = chip;
    this.#bus = bus;
    this.#wire = wire;
  }

  /** When an output moves after each of the processor's pins; its data come without what lets go of the net. */
  ofDriver(driver: PinRef, moves: "all" | "data", role: Role): Arrival {
    const { outputs, memory, storage } = driver.chip.part.behaviour;
    const output = outputs.find(({ pin }) => pin === driver.pin);
    const port = memory?.data.includes(driver.pin) ? memory : undefined;
    const bits = new Set(storage.map(({ name }) => name));
    const value = port ? port.address : namesOf(output?.value);
    const choice = new Set(port ? namesOf(port.read) : namesOf(output?.enable));
    // What a flip-flop holds is read as it is: only what lets it drive is looked at.
    const isStored = value.some((name) => bits.has(name));
    const seen = new Set([...(isStored ? [] : value), ...choice]);
    return [...seen]
      .map((pin) => this.#ofPin(driver, pin, moves, port || choice.has(pin) ? "choice" : role))
      .reduce(joined, NOTHING);
  }

  /** By how much the slowest output lets go before the processor may drive, by the pin that surely switches it off. */
  letGo(drivers: readonly PinRef[]): Reads["letGo"] {
    let worst: Reads["letGo"];
    for (const driver of drivers) {
      const margins = this.#bus.reading.letGo.flatMap(({ pin, level, within }) => {
        const span = this.#release(driver, pin, level === "high" ? HIGH : LOW);
        return span ? [within - span.max] : [];
      });
      if (margins.length === 0) return undefined;
      const margin = fs(Math.max(...margins));
      if (!worst || margin < worst.margin) worst = { chip: driver.chip.ref, margin };
    }
    return worst;
  }

  /** From a pin of the processor until an output has let go; undefined where that level does not switch it off. */
  #release(driver: PinRef, pin: string, level: Levels): Span | undefined {
    const { outputs, memory } = driver.chip.part.behaviour;
    const enable = memory?.data.includes(driver.pin)
      ? memory.read
      : outputs.find((output) => output.pin === driver.pin)?.enable;
    if (!enable || possibleLevels(enable, this.#levels(driver.chip, enable, new Map([[pin, level]]))) !== LOW)
      return undefined;
    const spans = namesIn(enable).flatMap((name) => {
      const net = driver.chip.nets.get(name);
      const arc = this.delays.of(driver, name, (change) => change.endsWith("-to-z"));
      const before = net && !net.rail ? this.#ofNet(net, "choice").pins.get(pin) : undefined;
      return arc && before ? [plus(plus(before, this.#wire), arc)] : [];
    });
    return spans.length === 0 ? undefined : spans.reduce(hull);
  }

  /** The levels that the pins in an expression can have while pins of the processor have these. */
  #levels(chip: Chip, expression: Expression, given: ReadonlyMap<string, Levels>): ReadonlyMap<string, Levels> {
    return new Map(
      namesIn(expression).flatMap((name) => {
        const net = chip.nets.get(name);
        const level = net && this.#levelOf(net, given);
        return level === undefined ? [] : [[name, level] as const];
      }),
    );
  }

  #levelOf(net: Net, given: ReadonlyMap<string, Levels>): Levels | undefined {
    if (net.rail) return net.rail === "high" ? HIGH : LOW;
    const own = this.#pinOn(net);
    if (own !== undefined) return given.get(own);
    const [driver, second] = net.drivers;
    const output = driver && !second ? gateOf(driver) : undefined;
    if (!driver || !output || this.#way.has(net)) return undefined;
    this.#way.add(net);
    const level = possibleLevels(output, this.#levels(driver.chip, output, given));
    this.#way.delete(net);
    return level;
  }

  #ofPin(driver: PinRef, pin: string, moves: "all" | "data", role: Role): Arrival {
    const net = driver.chip.nets.get(pin);
    if (!net || net.rail) return NOTHING;
    const arc = this.delays.of(driver, pin, moves === "data" ? (change) => !change.endsWith("-to-z") : undefined);
    const before = this.#ofNet(net, role);
    return arc ? { ...before, pins: delayed(before.pins, plus(this.#wire, arc)) } : { ...before, pins: new Map() };
  }

  /** How a net follows the processor's pins. */
  #ofNet(net: Net, role: Role): Arrival {
    const own = this.#pinOn(net);
    if (own !== undefined) return this.#ofProcessor(own);
    const unknown: Arrival = role === "choice" ? { pins: new Map(), others: new Set([net.name]) } : NOTHING;
    if (net.drivers.length === 0) return unknown;
    if (this.#way.has(net)) return { pins: new Map(), others: new Set([net.name]) };
    this.#way.add(net);
    const arrivals = net.drivers.map((driver) =>
      role === "choice" && !isFollowed(driver) ? unknown : this.ofDriver(driver, "all", role),
    );
    this.#way.delete(net);
    return arrivals.reduce(joined, NOTHING);
  }

  #ofProcessor(pin: string): Arrival {
    if (!this.#bus.reading.from.some(({ pins }) => pins.includes(pin))) {
      this.untimed.add(pin);
      return NOTHING;
    }
    const role = this.#chip.part.behaviour.pins.find(({ name }) => name === pin)?.role;
    // Of a clock that is fed in, times count from the processor's pin, and the wire there is another one.
    const start = role === "input" ? { min: -this.#wire.max, max: -this.#wire.min } : { min: 0, max: 0 };
    return { pins: new Map([[pin, start]]), others: new Set() };
  }

  #pinOn(net: Net): string | undefined {
    const { clock } = this.#bus.processor;
    return this.#chip.part.behaviour.pins.find(
      ({ name, role }) => this.#chip.nets.get(name) === net && (name === clock.pin || role === "output"),
    )?.name;
  }
}

/** The rule of an output that always drives and follows from the chip's inputs alone. */
function gateOf({ chip, pin }: PinRef): Expression | undefined {
  const { outputs, storage } = chip.part.behaviour;
  const output = outputs.find((candidate) => candidate.pin === pin);
  const bits = new Set(storage.map(({ name }) => name));
  return output && !output.enable && !namesIn(output.value).some((name) => bits.has(name)) ? output.value : undefined;
}

/** Whether what an output shows follows from the chip's pins: a gate, a buffer, a memory that is read. */
function isFollowed({ chip, pin }: PinRef): boolean {
  const { memory, outputs, storage } = chip.part.behaviour;
  if (memory?.data.includes(pin)) return true;
  const bits = new Set(storage.map(({ name }) => name));
  const output = outputs.find((candidate) => candidate.pin === pin);
  return output !== undefined && !namesIn(output.value).some((name) => bits.has(name));
}

function namesOf(expression: Expression | undefined): readonly string[] {
  return expression ? namesIn(expression) : [];
}

function delayed(pins: ReadonlyMap<string, Span>, by: Span): ReadonlyMap<string, Span> {
  return new Map([...pins].map(([pin, span]) => [pin, plus(span, by)]));
}

function joined(one: Arrival, other: Arrival): Arrival {
  const pins = new Map(one.pins);
  for (const [pin, span] of other.pins) {
    const known = pins.get(pin);
    pins.set(pin, known ? hull(known, span) : span);
  }
  return { pins, others: new Set([...one.others, ...other.others]) };
}
