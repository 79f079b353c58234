import { type Expression, behaviourOf, namesIn } from "../../src/parts/index.js";
import { CLOCK_NET, type Sketch, type SketchChip } from "./clocked-circuit.js";
import { randomNumbers } from "./random-bits.js";

/** What a random circuit is made of, with how often. */
const kinds = {
  gates: 8,
  exclusive: 2,
  selector: 2,
  "dual flip-flop": 3,
  register: 3,
  counter: 3,
  "ripple pair": 2,
  latch: 3,
  "shared net": 3,
  shifter: 1,
} as const;
type Kind = keyof typeof kinds;

export interface RandomSketchOptions {
  /** Adds signals from outside that follow edges of nets. */
  readonly inputs?: boolean;
}

/** The random circuit of a seed: one oscillator, two to eight chips, no loop that no register breaks. */
export function randomSketch(seed: number, options: RandomSketchOptions = {}): Sketch {
  return new Maker(seed, options).make();
}

class Maker {
  readonly #seed: number;
  readonly #options: RandomSketchOptions;
  readonly #random: (below: number) => number;
  readonly #chips: { ref: string; function: string; pins: Record<string, string> }[] = [];
  readonly #signals: string[] = [];
  /** Pins that a clock reads: they may be fed from chips further on. */
  readonly #clocked: { readonly pins: Record<string, string>; readonly pin: string; readonly high: number }[] = [];

  constructor(seed: number, options: RandomSketchOptions) {
    this.#seed = seed;
    this.#options = options;
    this.#random = randomNumbers(seed * 7919 + 17);
  }

  make(): Sketch {
    const period = 30 + this.#random(170);
    const tolerance = this.#pick([0, 0.0001, 0.01]);
    const low = 40 + this.#random(15);
    const duty = [low / 100, (low + this.#random(15)) / 100] as const;
    const wires = this.#pick([
      [0, 0],
      [0, 1],
      [0.2, 3],
    ] as const);
    const inputs = this.#options.inputs ? this.#inputs(period) : [];
    const count = 2 + this.#random(7);
    while (this.#chips.length < count) {
      this.#add(
        this.#chips.length === 0 ? this.#pick(["dual flip-flop", "register", "counter", "ripple pair"]) : this.#kind(),
      );
    }
    for (const { pins, pin, high } of this.#clocked)
      pins[pin] = this.#chance(high) ? "high" : this.#pick(this.#signals);
    return { seed: this.#seed, period, tolerance, duty, wires, chips: this.#chips, inputs };
  }

  #inputs(period: number): Sketch["inputs"] {
    return Array.from({ length: 1 + this.#random(2) }, (_, index) => {
      const net = `I${index}`;
      this.#signals.push(net);
      const from = this.#random(Math.floor(period / 3));
      const edge = this.#pick(["rise", "fall"] as const);
      return { net, after: [CLOCK_NET, edge] as const, from, to: from + this.#random(Math.floor(period / 4)) };
    });
  }

  #kind(): Kind {
    const all = Object.entries(kinds).flatMap(([kind, weight]) => Array.from({ length: weight }, () => kind as Kind));
    return this.#pick(all);
  }

  #add(kind: Kind): void {
    switch (kind) {
      case "gates": {
        const name = this.#pick(["00", "02", "08", "32", "10", "27", "04", "21"]);
        const letters = { "04": "A", "10": "ABC", "27": "ABC", "21": "ABCD" }[name] ?? "AB";
        const pins: Record<string, string> = {};
        for (let n = 1; n <= 1 + this.#random(2); n++) {
          for (const letter of letters) pins[`${n}${letter}`] = this.#logic();
          pins[`${n}Y`] = "";
        }
        return this.#place(name, pins);
      }
      case "exclusive":
        return this.#place("86", { "1A": this.#logic(), "1B": this.#logic(), "1Y": "" });
      case "selector": {
        const pins: Record<string, string> = { "A#/B": this.#logic(), "G#": this.#chance(80) ? "low" : this.#logic() };
        for (let n = 1; n <= 1 + this.#random(2); n++) {
          Object.assign(pins, { [`${n}A`]: this.#logic(), [`${n}B`]: this.#logic(), [`${n}Y`]: "" });
        }
        return this.#place("157", pins);
      }
      case "dual flip-flop": {
        const pins: Record<string, string> = {};
        for (let n = 1; n <= 1 + this.#random(2); n++) {
          Object.assign(pins, { [`${n}CLK`]: this.#clock(), [`${n}D`]: this.#later(0) });
          Object.assign(pins, { [`${n}CLR#`]: this.#release(), [`${n}PRE#`]: this.#release() });
          Object.assign(pins, { [`${n}Q`]: "", [`${n}Q#`]: "" });
        }
        return this.#place("74", pins);
      }
      case "register": {
        const pins: Record<string, string> = { CLK: this.#clock(), "CLR#": this.#release() };
        const name = this.#pick(["174", "175"]);
        for (let n = 1; n <= 1 + this.#random(3); n++) {
          Object.assign(pins, { [`${n}D`]: this.#later(0), [`${n}Q`]: "" });
          if (name === "175") pins[`${n}Q#`] = "";
        }
        return this.#place(name, pins);
      }
      case "counter": {
        const pins: Record<string, string> = {
          ...{ CLK: this.#clock(), "CLR#": this.#later(85), "LOAD#": this.#later(75), ENP: this.#later(70) },
          ...{
            ENT: this.#chance(70) || this.#signals.length === 0 ? "high" : this.#earlier(),
            A: this.#later(40),
            B: "low",
            C: "high",
            D: "low",
          },
          ...{ QA: "", QB: "", QC: "", QD: "", RCO: "" },
        };
        return this.#place("163", pins);
      }
      case "ripple pair": {
        const clear = this.#chance(85) || this.#signals.length === 0 ? "low" : this.#earlier();
        return this.#place("393", { "1CLK": this.#clock(), "1CLR": clear, "1QA": "", "1QB": "", "1QC": "" });
      }
      case "latch": {
        const pins: Record<string, string> = { LE: this.#strobe(), "OE#": "low", "1D": this.#earlier(), "1Q": "" };
        if (this.#chance(50)) Object.assign(pins, { "2D": this.#earlier(), "2Q": "" });
        return this.#place(this.#pick(["573", "373"]), pins);
      }
      case "shared net": {
        const select = this.#earlier();
        this.#place("04", { "1A": select, "1Y": "" });
        const other = this.#signals.at(-1) ?? "";
        const pins: Record<string, string> = { "1OE#": select, "2OE#": other };
        for (let n = 1; n <= 1 + this.#random(2); n++) {
          const net = this.#newNet();
          Object.assign(pins, { [`1A${n}`]: this.#earlier(), [`1Y${n}`]: net });
          Object.assign(pins, { [`2A${n}`]: this.#earlier(), [`2Y${n}`]: net });
        }
        return this.#place("244", pins);
      }
      case "shifter": {
        const pins: Record<string, string> = {
          ...{ CLK: this.#clock(), CLKINH: "low", "CLR#": this.#release(), "SH/LD#": this.#later(30) },
          ...{ SER: this.#later(20), E: "low", F: this.#later(20), G: "low", H: this.#later(20), QH: "" },
        };
        for (const pin of "ABCD") pins[pin] = "low";
        return this.#place("166", pins);
      }
    }
  }

  /** Adds a chip; pins without a net yet are outputs that get one, or (`later`) read what a later chip may drive. */
  #place(name: string, pins: Record<string, string>): void {
    const ref = `U${this.#chips.length + 1}`;
    this.#chips.push({ ref, function: name, pins });
    for (const [pin, net] of Object.entries(pins)) {
      if (net === "") pins[pin] = this.#newNet();
      else if (net.startsWith("later ")) {
        this.#clocked.push({ pins, pin, high: Number(net.slice(6)) });
      }
    }
    this.#signals.push(...Object.values(pins).filter((net) => /^N\d+$/.test(net) && !this.#signals.includes(net)));
  }

  #nets = 0;

  #newNet(): string {
    return `N${this.#nets++}`;
  }

  /** To be fed from any chip when all are there; with this chance in a hundred tied high. */
  #later(high: number): string {
    return `later ${high}`;
  }

  #earlier(): string {
    return this.#signals.length > 0 ? this.#pick(this.#signals) : CLOCK_NET;
  }

  /** An input of a gate. */
  #logic(): string {
    return this.#chance(4) ? CLOCK_NET : this.#earlier();
  }

  #clock(): string {
    return this.#chance(75) ? CLOCK_NET : this.#earlier();
  }

  #strobe(): string {
    return this.#chance(50) ? CLOCK_NET : this.#earlier();
  }

  /** An asynchronous input, active low. */
  #release(): string {
    return this.#chance(88) || this.#signals.length === 0 ? "high" : this.#earlier();
  }

  #chance(percent: number): boolean {
    return this.#random(100) < percent;
  }

  #pick<T>(from: readonly [T, ...T[]] | readonly T[]): T {
    const picked = from[this.#random(from.length)];
    if (picked === undefined) throw new RangeError("nothing to pick from");
    return picked;
  }
}

/** The smallest sketch on the way from this one, chip by chip and pin by pin, that still `fails`. */
export function shrinkSketch(sketch: Sketch, fails: (smaller: Sketch) => boolean): Sketch {
  let smallest = sketch;
  for (let shrank = true; shrank;) {
    shrank = false;
    for (const smaller of smallerThan(smallest)) {
      if (!fails(smaller)) continue;
      smallest = smaller;
      shrank = true;
      break;
    }
  }
  return smallest;
}

function* smallerThan(sketch: Sketch): Generator<Sketch> {
  for (const input of sketch.inputs) {
    const inputs = sketch.inputs.filter((other) => other !== input);
    for (const level of ["low", "high"])
      yield { ...sketch, inputs, chips: sketch.chips.map((chip) => replaced(chip, [input.net], level)) };
  }
  for (const chip of sketch.chips) {
    const rest = sketch.chips.filter((other) => other !== chip);
    const driven = outputsOf(chip).filter((net) => !rest.some((other) => outputsOf(other).includes(net)));
    const taken = inputsOf(chip).map((pin) => chip.pins[pin] ?? "low");
    for (const by of new Set(["low", "high", ...taken])) {
      if (!driven.includes(by)) yield { ...sketch, chips: rest.map((other) => replaced(other, driven, by)) };
    }
  }
  for (const chip of sketch.chips) {
    for (const pin of inputsOf(chip)) {
      const net = chip.pins[pin] ?? "";
      if (net === "low" || net === "high" || pin.includes("OE#")) continue;
      for (const by of ["low", "high"]) yield withChip(sketch, chip, { ...chip, pins: { ...chip.pins, [pin]: by } });
      if (net !== CLOCK_NET) yield withChip(sketch, chip, { ...chip, pins: { ...chip.pins, [pin]: CLOCK_NET } });
    }
    const read = new Set(sketch.chips.flatMap((other) => inputsOf(other).map((pin) => other.pins[pin])));
    const unread = Object.entries(chip.pins).filter(([pin, net]) => !inputsOf(chip).includes(pin) && !read.has(net));
    if (unread.length > 0 && Object.keys(chip.pins).length - inputsOf(chip).length > 1) {
      for (const [dropped] of unread) {
        const pins = Object.fromEntries(Object.entries(chip.pins).filter(([pin]) => pin !== dropped));
        yield withChip(sketch, chip, { ...chip, pins });
      }
    }
  }
  if (sketch.wires[1] > 0) yield { ...sketch, wires: [0, 0] };
  if (sketch.tolerance > 0) yield { ...sketch, tolerance: 0 };
  if (sketch.duty[0] < sketch.duty[1]) yield { ...sketch, duty: [sketch.duty[0], sketch.duty[0]] };
}

function withChip(sketch: Sketch, chip: SketchChip, by: SketchChip): Sketch {
  return { ...sketch, chips: sketch.chips.map((other) => (other === chip ? by : other)) };
}

function replaced(chip: SketchChip, nets: readonly string[], by: string): SketchChip {
  const inputs = inputsOf(chip);
  const pins = Object.entries(chip.pins).map(([pin, net]) => [
    pin,
    inputs.includes(pin) && nets.includes(net) ? by : net,
  ]);
  return { ...chip, pins: Object.fromEntries(pins) };
}

function outputsOf(chip: SketchChip): readonly string[] {
  const inputs = inputsOf(chip);
  return Object.entries(chip.pins).flatMap(([pin, net]) => (inputs.includes(pin) ? [] : [net]));
}

function inputsOf(chip: SketchChip): readonly string[] {
  const pins = behaviourOf(chip.function)?.pins ?? [];
  return pins.filter(({ role, name }) => role === "input" && name in chip.pins).map(({ name }) => name);
}

/** Whether no way leads from a chip's output back to it that no clock interrupts. */
export function hasLoop(sketch: Sketch): boolean {
  const next = new Map<string, Set<string>>();
  for (const chip of sketch.chips) {
    const behaviour = behaviourOf(chip.function);
    const at = (expressions: readonly (Expression | undefined)[]) => expressions.flatMap((e) => (e ? namesIn(e) : []));
    for (const output of behaviour?.outputs ?? []) {
      const to = chip.pins[output.pin];
      if (to === undefined) continue;
      const stored = behaviour?.storage.flatMap((bit) => {
        const acts = bit.kind === "latch" ? [bit.open, bit.next] : [bit.clock];
        return at([...acts, ...bit.overrides.flatMap(({ when, value }) => [when, value])]);
      });
      for (const pin of [...at([output.value, output.enable]), ...(stored ?? [])]) {
        const from = chip.pins[pin];
        if (from !== undefined) next.set(from, (next.get(from) ?? new Set()).add(to));
      }
    }
  }
  const state = new Map<string, "open" | "done">();
  const loops = (net: string): boolean => {
    const known = state.get(net);
    if (known) return known === "open";
    state.set(net, "open");
    const found = [...(next.get(net) ?? [])].some(loops);
    state.set(net, "done");
    return found;
  };
  return [...next.keys()].some(loops);
}
