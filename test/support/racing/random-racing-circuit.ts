import type { Circuit } from "../../../src/circuit/circuit.js";
import { register } from "../../../src/parts/behaviours/define.js";
import { type Change, type Edge, type Part, behaviourOf } from "../../../src/parts/index.js";
import { fs, ns, range } from "../../../src/quantity/index.js";
import { randomFor } from "../../../src/simulation/random.js";
import { type Limits, buildCircuit, invent, makePart } from "../build-circuit.js";
import { randomNumbers } from "../random-bits.js";

/** Each kind of cell: its input pins, and what its output Y is of them; of a driver while OE# is low. */
export const CELL_KINDS = {
  not: { pins: ["A"], value: "!A" },
  buffer: { pins: ["A"], value: "A" },
  and: { pins: ["A", "B"], value: "A & B" },
  nand: { pins: ["A", "B"], value: "!(A & B)" },
  or: { pins: ["A", "B"], value: "A | B" },
  nor: { pins: ["A", "B"], value: "!(A | B)" },
  xor: { pins: ["A", "B"], value: "A ^ B" },
  choose: { pins: ["S", "A", "B"], value: "S ? B : A" },
  "flip-flop": { pins: ["D", "CLK"], value: "q" },
  driver: { pins: ["A", "OE#"], value: "A" },
} as const;
export type CellKind = keyof typeof CELL_KINDS;

/** One chip: what it is, the net of each input pin, and the net of its output Y, which two drivers may share. */
export interface RacingCell {
  readonly ref: string;
  readonly kind: CellKind;
  readonly feeds: Readonly<Record<string, string>>;
  readonly net: string;
}

/** A small circuit of one oscillator (net `CK`) in which signals race each other. Times in nanoseconds. */
export interface RacingCircuit {
  readonly seed: number;
  readonly period: number;
  /** Share of the period. */
  readonly tolerance: number;
  readonly duty: readonly [least: number, most: number];
  readonly wires: readonly [least: number, most: number];
  /** In an order in which every cell comes after what its output follows at once; a flip-flop follows its clock. */
  readonly cells: readonly RacingCell[];
}

export const CLOCK = "CK";
export const SET_UP_NS = 2;
export const HOLD_NS = 0.5;
export const WIDTH_NS = 4;
export const CLOCK_PERIOD_NS = 9;

const GATES = ["not", "buffer", "and", "nand", "or", "nor", "xor", "xor", "choose"] as const;

/** The racing circuit of a seed: five to twelve chips with the oscillator. */
export function randomRacingCircuit(seed: number): RacingCircuit {
  return new Maker(seed).make();
}

class Maker {
  readonly #seed: number;
  readonly #random: (below: number) => number;
  readonly #cells: { ref: string; kind: CellKind; feeds: Record<string, string>; net: string }[] = [];
  /** Nets that gates may read. */
  readonly #signals: string[] = [];
  readonly #buses: string[] = [];

  constructor(seed: number) {
    this.#seed = seed;
    this.#random = randomNumbers(seed * 6271 + 5);
  }

  make(): RacingCircuit {
    const period = 24 + this.#random(90);
    const low = 42 + this.#random(10);
    const duty = [low / 100, (low + this.#random(12)) / 100] as const;
    const wires = this.#pick([
      [0, 0],
      [0, 1],
      [0.2, 2],
    ] as const);
    const count = 4 + this.#random(8);
    this.#flipFlop();
    while (this.#cells.length < count) {
      const lot = this.#random(100);
      if (lot < 30) this.#flipFlop();
      else if (lot < 44 && this.#cells.length + 3 <= count) this.#bus();
      else this.#gate();
    }
    // What a flip-flop takes may come from anywhere, the later and so deeper signals first.
    const all = [...this.#signals, ...this.#signals.slice(-4), ...this.#buses, ...this.#buses, ...this.#buses];
    for (const { feeds } of this.#cells) if (feeds["D"] === "") feeds["D"] = this.#pick(all);
    const tolerance = this.#pick([0, 0.0001, 0.01]);
    return { seed: this.#seed, period, tolerance, duty, wires, cells: this.#cells };
  }

  #add(kind: CellKind, feeds: Record<string, string>, net = `N${this.#cells.length + 1}`): string {
    this.#cells.push({ ref: `U${this.#cells.length + 1}`, kind, feeds, net });
    return net;
  }

  #flipFlop(): void {
    const isGated = this.#signals.length > 1 && this.#random(100) < 35;
    const clock = isGated ? this.#clock() : CLOCK;
    const own = this.#add("flip-flop", { D: "", CLK: clock });
    this.#signals.push(own);
    if (this.#random(100) < 60) return;
    // One that turns over, or does so where another signal lets it: without these nothing would ever change.
    const other = this.#pick(this.#signals);
    const feeds = { A: own, B: other };
    const turned = own === other ? this.#add("not", { A: own }) : this.#add(this.#pick(["nand", "nor", "xor"]), feeds);
    this.#signals.push(turned);
    const cell = this.#cells.find(({ net }) => net === own);
    if (cell) cell.feeds["D"] = turned;
  }

  /** The oscillator gated by a signal or turned over, or a signal itself. */
  #clock(): string {
    const lot = this.#random(4);
    if (lot === 0) return this.#pick(this.#signals);
    if (lot === 1) return this.#add("not", { A: CLOCK });
    return this.#add(this.#pick(["and", "or", "nand", "nor"]), { A: CLOCK, B: this.#pick(this.#signals) });
  }

  #gate(): void {
    const kind = this.#pick(GATES);
    const feeds = Object.fromEntries(CELL_KINDS[kind].pins.map((pin) => [pin, this.#recent()]));
    this.#signals.push(this.#add(kind, feeds));
  }

  /** Two drivers on one net, one while a signal is low, the other while it is high. */
  #bus(): void {
    const select = this.#pick(this.#signals);
    const other = this.#add("not", { A: select });
    const net = `B${this.#cells.length}`;
    for (const enable of [select, other]) this.#add("driver", { A: this.#recent(), "OE#": enable }, net);
    this.#buses.push(net);
  }

  #recent(): string {
    return this.#random(100) < 55 ? this.#pick(this.#signals.slice(-3)) : this.#pick(this.#signals);
  }

  #pick<T>(from: readonly T[]): T {
    const picked = from[this.#random(from.length)];
    if (picked === undefined) throw new RangeError("nothing to pick from");
    return picked;
  }
}

/** Least, typical and greatest delay of an arc, in nanoseconds. */
export function delayOf({ seed }: RacingCircuit, ref: string, from: string, edge: Edge, change: Change): Limits3 {
  const luck = (what: string) => randomFor(`${ref} ${from} ${edge} ${change} ${what}`, seed);
  const most = rounded(2 + luck("most") * 10);
  const least = luck("spread") < 0.1 ? most : rounded(0.5 + luck("least") * (most - 0.5));
  return [least, rounded((least + most) / 2), most];
}
type Limits3 = readonly [least: number, typical: number, most: number];

function rounded(time: number): number {
  return Math.round(time * 1000) / 1000;
}

/** The same as a circuit of the project. */
export function circuitOf(racing: RacingCircuit): Circuit {
  const chips = racing.cells.map(({ ref, kind, feeds, net }): [string, [Part, string]] => {
    const pins = Object.entries(feeds).map(([pin, from]) => `${pin}=${from}`);
    return [ref, [partOf(racing, ref, kind), [...pins, `Y=${net}`].join(" ")]];
  });
  return buildCircuit({
    chips: { X1: [oscillatorOf(racing), `OUT=${CLOCK}`], ...Object.fromEntries(chips) },
    wires: racing.wires,
  });
}

function partOf(racing: RacingCircuit, ref: string, kind: CellKind): Part {
  const { pins, value } = CELL_KINDS[kind];
  const shape = { function: kind, inputs: pins.join(" "), outputs: "Y" };
  const delay = (from: string, edge: Edge, _to: string, change: Change): Limits =>
    delayOf(racing, ref, from, edge, change);
  if (kind === "driver") return invent({ ...shape, drives: { Y: [value, "!OE#"] } }, { delay });
  if (kind !== "flip-flop") return invent({ ...shape, drives: { Y: value } }, { delay });
  const asked = { setUp: SET_UP_NS, hold: HOLD_NS, width: WIDTH_NS, period: CLOCK_PERIOD_NS };
  return invent({ ...shape, storage: [register("q", "CLK", "D")], drives: { Y: value } }, { delay, ...asked });
}

/** Least and greatest period, in whole femtoseconds. */
export function periodsOf({ period, tolerance }: RacingCircuit): readonly [least: number, most: number] {
  const middle = ns(period);
  return [Math.round(middle * (1 - tolerance)), Math.round(middle * (1 + tolerance))];
}

function oscillatorOf(racing: RacingCircuit): Part {
  const behaviour = behaviourOf("oscillator");
  if (!behaviour) throw new RangeError("no oscillator on record");
  const [least, most] = periodsOf(racing);
  const oscillation = {
    hertz: { numerator: 10n ** 15n, denominator: BigInt(ns(racing.period)) },
    period: range(fs(least), fs(most)),
    duty: range(racing.duty[0], racing.duty[1]),
    source: { publisher: "none", document: "made for a test", fromMemory: false },
  };
  return makePart(behaviour, {}, oscillation);
}

/** The circuit in lines. */
export function printRacing({ seed, period, tolerance, duty, wires, cells }: RacingCircuit): string {
  return [
    `seed ${seed}: period ${period} ns, tolerance ${tolerance}, duty ${duty.join("..")}, wires ${wires.join("..")} ns`,
    ...cells.map(({ ref, kind, feeds, net }) => {
      const pins = Object.entries(feeds).map(([pin, from]) => `${pin}=${from}`);
      return `${ref} ${kind} ${pins.join(" ")} Y=${net}`;
    }),
  ].join("\n");
}
