import type { Circuit } from "../../src/circuit/circuit.js";
import { type Change, type Edge, type Part, behaviourOf } from "../../src/parts/index.js";
import { fs, ns, range } from "../../src/quantity/index.js";
import { randomFor } from "../../src/simulation/random.js";
import { type InputText, type Limits, buildCircuit, makePart } from "./build-circuit.js";

/** A chip of a sketch: a function on record, and the net of each pin that is connected. */
export interface SketchChip {
  readonly ref: string;
  readonly function: string;
  readonly pins: Readonly<Record<string, string>>;
}

/** A signal from outside that follows an edge of a net within limits in nanoseconds. */
export interface SketchInput {
  readonly net: string;
  readonly after: readonly [net: string, edge: Edge];
  readonly from: number;
  readonly to: number;
}

/** A circuit of one oscillator (net `CK`) and some chips, small enough to be read; its figures follow from the seed. */
export interface Sketch {
  readonly seed: number;
  /** Nanoseconds. */
  readonly period: number;
  /** Of the period, as a share of it. */
  readonly tolerance: number;
  readonly duty: readonly [least: number, most: number];
  /** Nanoseconds. */
  readonly wires: readonly [least: number, most: number];
  readonly chips: readonly SketchChip[];
  readonly inputs: readonly SketchInput[];
}

/** The net of the oscillator. */
export const CLOCK_NET = "CK";

/** The sketch as text that `parseSketch` reads again: what a failure prints. */
export function printSketch(sketch: Sketch): string {
  const { seed, period, tolerance, duty, wires, chips, inputs } = sketch;
  return [
    `seed ${seed} period ${period} tolerance ${tolerance} duty ${duty.join("..")} wires ${wires.join("..")}`,
    ...chips.map(({ ref, function: name, pins }) => `${ref} ${name} ${words(pins)}`),
    ...inputs.map(({ net, after, from, to }) => `${net} after ${after.join(" ")} ${from}..${to}`),
  ].join("\n");
}

/** Throws RangeError on text that `printSketch` does not make. */
export function parseSketch(text: string): Sketch {
  const [head = "", ...lines] = text.trim().split(/\s*\n\s*/);
  const [, seed, , period, , tolerance, , duty = "", , wires = ""] = head.split(" ");
  const chips: SketchChip[] = [];
  const inputs: SketchInput[] = [];
  for (const line of lines) {
    const [name = "", what = "", ...rest] = line.split(" ");
    if (what === "after") {
      const [net = "", edge = "", limits = ""] = rest;
      const [from, to] = pair(limits);
      inputs.push({ net: name, after: [net, edge === "fall" ? "fall" : "rise"], from, to });
    } else {
      const pins = Object.fromEntries(rest.map((word) => word.split("=") as [string, string]));
      chips.push({ ref: name, function: what, pins });
    }
  }
  const sketch = { seed: Number(seed), period: Number(period), tolerance: Number(tolerance), duty: pair(duty) };
  return { ...sketch, wires: pair(wires), chips, inputs };
}

/**
 * The circuit of a sketch. With `asks` every requirement is so many oscillator periods, so that a watch tells the least gap of
 * each place that is shorter. Throws RangeError when a chip's function is not on record.
 */
export function circuitOfSketch(sketch: Sketch, asks?: number): Circuit {
  const chips = sketch.chips.map((chip) => [chip.ref, [partOf(sketch, chip, asks), words(chip.pins)]] as const);
  const inputs = sketch.inputs.map(({ net, after, from, to }): [string, InputText] => [net, { after, from, to }]);
  return buildCircuit({
    chips: { X1: [canOf(sketch), `OUT=${CLOCK_NET}`], ...Object.fromEntries(chips) },
    inputs: Object.fromEntries(inputs),
    wires: sketch.wires,
  });
}

function canOf({ period, tolerance, duty }: Sketch): Part {
  const middle = ns(period);
  const oscillation = {
    hertz: { numerator: 10n ** 15n, denominator: BigInt(middle) },
    period: range(fs(Math.round(middle * (1 - tolerance))), fs(Math.round(middle * (1 + tolerance)))),
    duty: range(duty[0], duty[1]),
    source: { publisher: "none", document: "made for a test", fromMemory: false },
  };
  return makePart(onRecord("oscillator"), {}, oscillation);
}

/** Figures of an invented maker: each arc has its own limits, some wide, some without any spread. */
function partOf({ seed, period }: Sketch, { ref, function: name }: SketchChip, asks?: number): Part {
  const luck = (what: string) => randomFor(`${ref} ${what}`, seed);
  const between = (what: string, least: number, most: number) => rounded(least + luck(what) * (most - least));
  const slowest = between("slowest", 3, 14);
  const delay = (from: string, edge: Edge, to: string, change: Change): Limits => {
    const arc = `${from} ${edge} ${to} ${change}`;
    const most = between(`${arc} most`, 0.4 * slowest, slowest);
    const least = luck(`${arc} spread`) < 0.15 ? most : between(`${arc} least`, 0.1, most);
    return [least, between(`${arc} typical`, least, most), most];
  };
  const asked = (what: string, least: number, most: number) =>
    asks === undefined ? between(what, least, most) : asks * period;
  return makePart(onRecord(name), {
    delay,
    setUp: asked("set-up", 0.2, 3),
    hold: asked("hold", 0.1, 0.8),
    width: asked("width", 0.5, 4),
    recovery: asked("recovery", 0.2, 2),
    period: asked("period", 2, 9),
  });
}

function onRecord(name: string) {
  const behaviour = behaviourOf(name);
  if (!behaviour) throw new RangeError(`no function ${name}`);
  return behaviour;
}

function words(pins: Readonly<Record<string, string>>): string {
  return Object.entries(pins)
    .map(([pin, net]) => `${pin}=${net}`)
    .join(" ");
}

function pair(limits: string): readonly [number, number] {
  const [least, most] = limits.split("..");
  return [Number(least), Number(most)];
}

/** To whole picoseconds, so that figures can be read. */
function rounded(time: number): number {
  return Math.round(time * 1000) / 1000;
}
