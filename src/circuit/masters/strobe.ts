import {
  type Levels,
  type Pin,
  type ProcessorBus,
  type SelectTimes,
  EITHER,
  HIGH,
  LOW,
  namesIn,
  possibleLevels,
} from "../../parts/index.js";
import { type Fs, type Range, fs, range } from "../../quantity/index.js";
import type { Chip, Net, PinRef } from "../circuit.js";
import { drivingOf } from "../driving.js";
import type { Complaint } from "../problem.js";
import { ArcDelays, type Span, hull, plus } from "./arc-delays.js";
import * as say from "./messages.js";

/** How the board's gates make a write strobe of a processor's pins. */
export interface Strobe {
  /** From the pin whose pulse it is to the strobe, at its begin and its end. */
  readonly gate: Range<Fs>;
  /** The strobe's level during a write. */
  readonly active: "low" | "high";
  /** Pins that choose whether there is a strobe, and by how much they do so in time. */
  readonly selects: readonly SelectSlack[];
  /** Pins that may end the strobe before the pin whose pulse it is does. */
  readonly endedBy: readonly string[];
  /** Nets that choose too and about whose times nothing is known. */
  readonly others: readonly string[];
  /** Pins of the processor that choose too and for which its sheet, as it is on record, has no times. */
  readonly untimed: readonly string[];
  readonly delays: ArcDelays;
  /** Whether the strobe can come while the processor reads. */
  readonly comesInReads: boolean;
}

/** At the gate where a pin meets the pulse: how much sooner it stands than the pulse begins, how much longer than it ends. */
export interface SelectSlack {
  readonly pin: string;
  readonly before: Fs;
  readonly after: Fs;
}

/** What a net does in a write: the pulse itself, so long after that of the processor's pin, or levels that stand about it. */
type Signal =
  | { readonly kind: "pulse"; readonly begin: Span; readonly end: Span }
  | { readonly kind: "level"; readonly pins: ReadonlyMap<string, Span> };

/** Ends the search for a strobe; the file's mistake is in it. */
class NoStrobe extends Error {
  readonly complaint: Complaint;

  constructor(complaint: Complaint) {
    super(complaint.message);
    this.complaint = complaint;
  }
}

/**
 * Follows a strobe back through gates to the processor's pins. The pulse of one pin goes through them; all other pins must
 * stand from before it until after it wherever they meet, else a gate may give a false pulse. `wire` are the limits of a
 * wire's delay.
 */
export function findStrobe(
  net: Net,
  chip: Chip,
  { processor, gating }: ProcessorBus,
  wire: Range<Fs>,
): Strobe | { readonly mistake: Complaint } {
  try {
    const search = new Search(chip, gating, wire);
    const found = search.follow(net);
    if (found.kind !== "pulse") throw new NoStrobe(say.strobeWithout(net.name, chip.ref, gating.pin));
    const idle = gating.active === "high" ? "low" : "high";
    const resting = search.levelsOf(net, new Map([[gating.pin, levelOf(idle)]]));
    if (resting === EITHER) throw new NoStrobe(say.strobeNotHeld(net.name, chip.ref, gating.pin, idle));
    const { writesWhileLow } = processor.gating;
    const inReads: ReadonlyMap<string, Levels> = new Map(writesWhileLow === undefined ? [] : [[writesWhileLow, HIGH]]);
    return {
      gate: range(fs(Math.min(found.begin.min, found.end.min)), fs(Math.max(found.begin.max, found.end.max))),
      active: resting === HIGH ? "low" : "high",
      selects: [...search.slacks.values()],
      endedBy: [...search.endedBy],
      others: [...search.others],
      untimed: [...search.untimed],
      delays: search.delays,
      comesInReads: writesWhileLow !== undefined && search.levelsOf(net, inReads) !== resting,
    };
  } catch (error) {
    if (error instanceof NoStrobe) return { mistake: error.complaint };
    throw error;
  }
}

function levelOf(word: "low" | "high"): Levels {
  return word === "high" ? HIGH : LOW;
}

class Search {
  readonly slacks = new Map<string, SelectSlack>();
  readonly endedBy = new Set<string>();
  readonly others = new Set<string>();
  readonly untimed = new Set<string>();
  readonly delays = new ArcDelays();
  readonly #chip: Chip;
  readonly #gating: ProcessorBus["gating"];
  readonly #wire: Range<Fs>;
  readonly #signals = new Map<Net, Signal>();
  readonly #way = new Set<Net>();

  constructor(chip: Chip, gating: ProcessorBus["gating"], wire: Range<Fs>) {
    this.#chip = chip;
    this.#gating = gating;
    this.#wire = wire;
  }

  /** What a net does in a write. Throws NoStrobe where gates alone do not tell. */
  follow(net: Net): Signal {
    const known = this.#signals.get(net);
    if (known) return known;
    if (this.#way.has(net)) throw new NoStrobe(say.strobeLoop(net.name));
    this.#way.add(net);
    const signal = this.#ofProcessor(net) ?? this.#ofGate(net);
    this.#way.delete(net);
    this.#signals.set(net, signal);
    return signal;
  }

  /** The levels that a net can have while pins of the processor have these. */
  levelsOf(net: Net, given: ReadonlyMap<string, Levels>): Levels {
    if (net.rail) return net.rail === "high" ? HIGH : LOW;
    const own = this.#pinOn(net);
    if (own) return given.get(own.name) ?? EITHER;
    const [driver] = net.drivers;
    const output = driver && gateOutput(driver);
    if (!output) return EITHER;
    const known = new Map(
      namesIn(output.value).map((pin) => {
        const input = driver.chip.nets.get(pin);
        return [pin, input ? this.levelsOf(input, given) : EITHER] as const;
      }),
    );
    return possibleLevels(output.value, known);
  }

  /** The pin of the processor that is on a net and gives it its times. */
  #pinOn(net: Net): Pin | undefined {
    return this.#chip.part.behaviour.pins.find(
      ({ name, role }) =>
        this.#chip.nets.get(name) === net && (name === this.#gating.pin || role === "output" || role === "in-out"),
    );
  }

  #ofProcessor(net: Net): Signal | undefined {
    const pin = this.#pinOn(net);
    if (!pin) return undefined;
    if (pin.name === this.#gating.pin) {
      // Of a clock that is fed in, times count from the processor's pin, and the wire there is another than that to the gate.
      const { min, max } = this.#wire;
      const start = pin.role === "input" ? { min: -max, max: -min } : { min: 0, max: 0 };
      return { kind: "pulse", begin: start, end: start };
    }
    if (!this.#timesOf(pin.name)) {
      this.untimed.add(pin.name);
      return { kind: "level", pins: new Map() };
    }
    return { kind: "level", pins: new Map([[pin.name, { min: 0, max: 0 }]]) };
  }

  #timesOf(pin: string): SelectTimes | undefined {
    return this.#gating.selects.find(({ pins }) => pins.includes(pin));
  }

  #ofGate(net: Net): Signal {
    const nothing: Signal = { kind: "level", pins: new Map() };
    if (net.rail) return nothing;
    const [driver, second] = net.drivers;
    if (!driver) {
      this.others.add(net.name);
      return nothing;
    }
    const label = `${driver.chip.ref} ${driver.pin}`;
    if (second) {
      throw new NoStrobe(
        say.severalDriversOfStrobe(
          net.name,
          net.drivers.map(({ chip, pin }) => `${chip.ref} ${pin}`),
        ),
      );
    }
    const output = gateOutput(driver);
    if (!output) {
      // What a flip-flop or a counter holds may choose, as a latch for the bank does; nothing is known of when it changes.
      this.others.add(net.name);
      return nothing;
    }
    if (drivingOf(driver) !== "always") {
      throw new NoStrobe(say.strobeThrough(net.name, label, "does not always drive"));
    }
    const inputs = namesIn(output.value).flatMap((pin) => {
      const at = driver.chip.nets.get(pin);
      return at && !at.rail ? [{ pin, signal: this.follow(at) }] : [];
    });
    const pulses = inputs.filter(({ signal }) => signal.kind === "pulse");
    if (pulses.length > 1) throw new NoStrobe(say.strobeJoins(label, this.#gating.pin));
    return this.#joined(driver, inputs);
  }

  /** What a gate makes of its inputs, of which one at most is the pulse. */
  #joined(driver: PinRef, inputs: readonly { readonly pin: string; readonly signal: Signal }[]): Signal {
    const levels = new Map<string, Span>();
    let pulse: { begin: Span; end: Span } | undefined;
    for (const { pin, signal } of inputs) {
      const arc = this.#arc(driver, pin);
      if (signal.kind === "level") {
        for (const [name, span] of signal.pins) {
          const here = plus(plus(span, this.#wire), arc);
          levels.set(name, hull(levels.get(name) ?? here, here));
        }
        continue;
      }
      let [begin, end] = [plus(signal.begin, this.#wire), plus(signal.end, this.#wire)];
      for (const other of inputs) {
        if (other.signal.kind !== "level") continue;
        const own = this.#arc(driver, other.pin);
        for (const [name, span] of other.signal.pins) {
          [begin, end] = this.#meet(name, plus(span, this.#wire), begin, end, own, arc);
        }
      }
      pulse = { begin: plus(begin, arc), end: plus(end, arc) };
    }
    return pulse ? { kind: "pulse", ...pulse } : { kind: "level", pins: levels };
  }

  /** A pin meets the pulse at the inputs of a gate: it must stand from before until after, or else ends the pulse with it. */
  #meet(name: string, arrival: Span, begin: Span, end: Span, own: Span, arc: Span): readonly [begin: Span, end: Span] {
    const times = this.#timesOf(name);
    if (!times) return [begin, end];
    if (times.ends) {
      this.endedBy.add(name);
      // The pin's own way through the gate, relative to the pulse's.
      const by = { min: own.min - arc.max, max: own.max - arc.min };
      return [
        { min: begin.min, max: Math.max(begin.max, arrival.max - times.before + Math.max(0, by.max)) },
        { min: Math.min(end.min, arrival.min + times.after + Math.min(0, by.min)), max: end.max },
      ];
    }
    const before = fs(begin.min - (arrival.max - times.before));
    const after = fs(arrival.min + times.after - end.max);
    const known = this.slacks.get(name);
    this.slacks.set(name, {
      pin: name,
      before: fs(Math.min(known?.before ?? before, before)),
      after: fs(Math.min(known?.after ?? after, after)),
    });
    return [begin, end];
  }

  #arc(driver: PinRef, from: string): Span {
    return this.delays.of(driver, from) ?? { min: 0, max: 0 };
  }
}

/** The rule of an output that follows from the chip's inputs alone; undefined where the chip stores or counts. */
function gateOutput({ chip, pin }: PinRef) {
  const { outputs, storage } = chip.part.behaviour;
  const output = outputs.find((candidate) => candidate.pin === pin);
  const bits = new Set(storage.map(({ name }) => name));
  return output && !namesIn(output.value).some((name) => bits.has(name)) ? output : undefined;
}
