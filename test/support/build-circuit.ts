import type {
  Chip,
  Circuit,
  ExternalInput,
  InputTiming,
  Net,
  NetId,
  PictureNets,
  Supply,
} from "../../src/circuit/circuit.js";
import { behaviourOf } from "../../src/parts/behaviours/index.js";
import { type Definition, define, expandRange } from "../../src/parts/behaviours/define.js";
import {
  type Behaviour,
  type Change,
  type Delay,
  type Edge,
  type Figures,
  type MemorySymbol,
  type Missing,
  type Oscillation,
  type Part,
  type Requirement,
  type RequirementKind,
  type Source,
  DEFAULT_UNSTATED_MINIMUM,
  findPart,
  isPartProblem,
} from "../../src/parts/index.js";
import { type Range, fs, ns, range } from "../../src/quantity/index.js";

/** Limits of a delay in nanoseconds: always the same, least and most, or least, typical and most. */
export type Limits =
  number | readonly [least: number, most: number] | readonly [least: number, typical: number, most: number];

/** Figures of an invented part, in nanoseconds. What is not given is missing, as it would be on a sheet. */
export interface GivenFigures {
  /** One for all arcs, or one for each; an arc for which the function gives nothing is missing. */
  readonly delay?: Limits | ((from: string, edge: Edge, to: string, change: Change) => Limits | undefined);
  readonly setUp?: number;
  readonly hold?: number;
  readonly width?: number;
  readonly recovery?: number;
  readonly period?: number;
  readonly memory?: Partial<Record<MemorySymbol, number>>;
}

export interface CircuitText {
  readonly title?: string;
  /**
   * Each chip: its part (one made here, or a catalogue number), and its pins as words `CLK=DOT`, with ranges on both sides
   * (`A0..A3=VA0..VA3`) or a range on the left only (`A..D=low`). Nets `high` and `low` are the rails. Signal pins that are
   * not named are open.
   */
  readonly chips: Readonly<Record<string, readonly [part: Part | string, pins: string]>>;
  /** What comes from outside, by net; ranges are allowed. */
  readonly inputs?: Readonly<Record<string, InputText>>;
  /** Limits of a wire's delay in nanoseconds; none when absent. */
  readonly wires?: readonly [least: number, most: number];
  readonly raster?: string;
  readonly picture?: {
    readonly hsync: string;
    readonly vsync: string;
    readonly video: string;
    readonly size: readonly [width: number, height: number];
  };
  readonly toCome?: readonly string[];
}

/** Like `InputTiming`, with nets by name and times in nanoseconds. */
export type InputText =
  | { readonly anyTime: { readonly high: number; readonly low: number; readonly repeat: number } }
  | { readonly steadyAround: readonly [net: string, edge: Edge]; readonly before: number; readonly after: number }
  | { readonly after: readonly [net: string, edge: Edge]; readonly from: number; readonly to: number }
  | { readonly powerUpOnly: "low" | "high"; readonly least: number };

/** An input about whose times nothing matters. */
export const ANY_TIME: InputText = { anyTime: { high: 0, low: 0, repeat: 0 } };

const invented: Source = { publisher: "none", document: "made for a test", fromMemory: false };

/** A part with the given behaviour and hand-given figures. */
export function makePart(behaviour: Behaviour, figures: GivenFigures = {}, oscillation?: Oscillation): Part {
  return {
    number: `made ${behaviour.function}`,
    family: "HC",
    behaviour,
    package: { name: "none", pins: [], isDual: true, source: invented, checked: "made for a test" },
    figures: figuresOf(figures),
    ...(oscillation && { oscillation }),
  };
}

/** A part of an invented function. */
export function invent(definition: Omit<Definition, "title">, figures?: GivenFigures): Part {
  return makePart(define({ title: `invented ${definition.function}`, ...definition }), figures);
}

/** A part of a function on record (`163`, `244`, `32Kx8`) with hand-given figures. */
export function known(functionNumber: string, figures?: GivenFigures): Part {
  const behaviour = behaviourOf(functionNumber);
  if (!behaviour) throw new RangeError(`no function ${functionNumber}`);
  return makePart(behaviour, figures);
}

/** One gate with output Y: `gate("A B", "!(A & B)", 9)`. */
export function gate(inputs: string, value: string, delay: Limits): Part {
  return invent({ function: `gate ${value}`, inputs, outputs: "Y", drives: { Y: value } }, { delay });
}

/** An oscillator can with output OUT. Period in nanoseconds, duty as a share of it. */
export function oscillator(period: number, duty: Range = range(0.5, 0.5)): Part {
  const behaviour = behaviourOf("oscillator");
  if (!behaviour) throw new RangeError("no oscillator on record");
  const periodFs = ns(period);
  return makePart(
    behaviour,
    {},
    {
      hertz: { numerator: 10n ** 15n, denominator: BigInt(periodFs) },
      period: range(periodFs, periodFs),
      duty,
      source: invented,
    },
  );
}

/** A checked circuit from a compact description, with nets in the order in which they are first named. */
export function buildCircuit(text: CircuitText): Circuit {
  const nets = new Map<string, DraftNet>();
  const netNamed = (name: string): DraftNet => {
    const found = nets.get(name);
    if (found) return found;
    const rail = name === "high" || name === "low" ? name : undefined;
    const net: DraftNet = {
      id: nets.size as NetId,
      name,
      drivers: [],
      receivers: [],
      toCome: text.toCome?.includes(name) ?? false,
      ...(rail && { rail }),
    };
    nets.set(name, net);
    return net;
  };
  netNamed("high");
  netNamed("low");
  const supply: Supply = { name: "main", volts: range(4.5, 5.5) };

  const chips = Object.entries(text.chips).map(([ref, [wanted, words]]): Chip => {
    const part = typeof wanted === "string" ? catalogued(wanted) : wanted;
    const places = connections(words);
    const signals = part.behaviour.pins.filter(({ role }) => ["input", "output", "in-out"].includes(role));
    for (const [pin] of places) {
      if (!signals.some(({ name }) => name === pin)) throw new RangeError(`${ref}: ${part.number} has no pin ${pin}`);
    }
    const chip: Chip = {
      ref,
      part,
      note: "",
      supply,
      nets: new Map(places.map(([pin, net]) => [pin, netNamed(net)])),
      open: new Set(signals.map(({ name }) => name).filter((name) => !places.some(([pin]) => pin === name))),
    };
    for (const { name: pin, role } of signals) {
      const net = chip.nets.get(pin);
      if (!net) continue;
      if (role !== "input") netNamed(net.name).drivers.push({ chip, pin });
      if (role !== "output") netNamed(net.name).receivers.push({ chip, pin });
    }
    return chip;
  });

  const inputs = Object.entries(text.inputs ?? {}).flatMap(([names, timing]) =>
    expandRange(names).map((name): ExternalInput => {
      const net = netNamed(name);
      const input: ExternalInput = { net: net.id, timing: timingOf(timing, (other) => netNamed(other).id) };
      net.input = input;
      return input;
    }),
  );
  const picture: PictureNets | undefined = text.picture && {
    hsync: netNamed(text.picture.hsync).id,
    vsync: netNamed(text.picture.vsync).id,
    video: { kind: "mono", net: netNamed(text.picture.video).id },
    width: text.picture.size[0],
    height: text.picture.size[1],
  };
  const toCome = (text.toCome ?? []).map((name) => netNamed(name).id);
  const [least, most] = text.wires ?? [0, 0];
  return {
    title: text.title ?? "made for a test",
    supplyVolts: supply.volts,
    supplies: [supply],
    ambientCelsius: range(0, 50),
    build: "breadboard",
    unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
    makers: new Map(),
    raster: text.raster ?? "640x480@60",
    chips,
    nets: [...nets.values()],
    passives: [],
    inputs,
    masters: [],
    accepted: [],
    ...(picture && { picture }),
    wireDelay: range(ns(least), ns(most)),
    allowedContention: fs(0),
    toCome,
  };
}

/** The net of that name. Throws RangeError when there is none. */
export function netOf(circuit: Circuit, name: string): Net {
  const net = circuit.nets.find((one) => one.name === name);
  if (!net) throw new RangeError(`no net ${name}`);
  return net;
}

/** The chip of that name. Throws RangeError when there is none. */
export function chipOf(circuit: Circuit, ref: string): Chip {
  const chip = circuit.chips.find((one) => one.ref === ref);
  if (!chip) throw new RangeError(`no chip ${ref}`);
  return chip;
}

type DraftNet = { -readonly [K in keyof Net]: Net[K] } & {
  drivers: Net["drivers"][number][];
  receivers: Net["receivers"][number][];
};

/** `CLK=DOT A..D=low` to pairs of pin and net. */
function connections(words: string): readonly (readonly [pin: string, net: string])[] {
  return words.split(/\s+/).flatMap((word) => {
    if (word === "") return [];
    const sign = word.lastIndexOf("="); // a pin may have one in its name: P=Q#
    const [left, right] = [word.slice(0, Math.max(sign, 0)), word.slice(sign + 1)];
    const pins = expandRange(left);
    const nets = expandRange(right);
    if (nets.length !== 1 && nets.length !== pins.length) throw new RangeError(`${word}: lists of unlike length`);
    return pins.map((pin, index) => [pin, nets[nets.length === 1 ? 0 : index] ?? ""] as const);
  });
}

function catalogued(number: string): Part {
  const part = findPart(number, {
    supplyVolts: range(4.5, 5.5),
    ambientCelsius: range(0, 50),
    unstatedMinimum: DEFAULT_UNSTATED_MINIMUM,
  });
  if (isPartProblem(part)) throw new RangeError(part.problem);
  return part;
}

function timingOf(text: InputText, netId: (name: string) => NetId): InputTiming {
  if ("anyTime" in text) {
    const { high, low, repeat } = text.anyTime;
    return { kind: "any time", leastHigh: ns(high), leastLow: ns(low), leastRepeat: ns(repeat) };
  }
  if ("steadyAround" in text) {
    const [net, edge] = text.steadyAround;
    return { kind: "steady around", net: netId(net), edge, before: ns(text.before), after: ns(text.after) };
  }
  if ("after" in text) {
    const [net, edge] = text.after;
    return { kind: "after", net: netId(net), edge, delay: range(ns(text.from), ns(text.to)) };
  }
  return { kind: "power-up only", active: text.powerUpOnly, least: ns(text.least) };
}

function figuresOf(given: GivenFigures): Figures {
  const missing = (what: string): Missing => ({ missing: `${what}, not given` });
  const least = (kind: RequirementKind, symbol: string, time: number | undefined, what: string) =>
    time === undefined ? missing(what) : ({ kind, symbol, time: ns(time), source: invented } satisfies Requirement);
  return {
    delay(from, edge, to, change) {
      const limits = typeof given.delay === "function" ? given.delay(from, edge, to, change) : given.delay;
      return limits === undefined ? missing(`${from} ${edge} to ${to} ${change}`) : delayOf(limits);
    },
    window: (kind, pin, reference) =>
      least(
        kind,
        kind === "set-up" ? "tsu" : "th",
        kind === "set-up" ? given.setUp : given.hold,
        `${kind} of ${pin} to ${reference}`,
      ),
    width: (pin, level) => least(`width ${level}`, "tw", given.width, `${level} width of ${pin}`),
    recovery: (pin, reference) => least("recovery", "trec", given.recovery, `recovery of ${pin} to ${reference}`),
    period: (pin) => least("clock period", "tclk", given.period, `clock period of ${pin}`),
    memory: (symbol) => least("memory", symbol, given.memory?.[symbol], symbol),
  };
}

function delayOf(limits: Limits): Delay {
  const [min, typical, max] = threeOf(limits);
  return { min: ns(min), typical: ns(typical), max: ns(max), minimumIs: "stated", source: invented };
}

function threeOf(limits: Limits): readonly [number, number, number] {
  if (typeof limits === "number") return [limits, limits, limits];
  const [min, second, third] = limits;
  return third === undefined ? [min, (min + second) / 2, second] : [min, second, third];
}
