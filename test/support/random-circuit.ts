import fc from "fast-check";
import type { Circuit } from "../../src/circuit/circuit.js";
import { latch, register } from "../../src/parts/behaviours/define.js";
import type { Part } from "../../src/parts/index.js";
import { ANY_TIME, type Limits, buildCircuit, invent } from "./build-circuit.js";

/** One cell of a random circuit: what it is, and which net feeds each input. Its output's net is named after it. */
export interface Cell {
  readonly ref: string;
  readonly kind: keyof typeof kinds;
  readonly feeds: readonly string[];
}

/** A change of an input from outside. */
export interface InputChange {
  readonly input: string;
  /** Nanoseconds, whole. */
  readonly time: number;
}

export interface RandomCircuit {
  /** Inputs from outside: `I0`, `I1` ...; each starts low and turns over at its changes. */
  readonly inputs: readonly string[];
  /** Each cell reads inputs and cells before it: there is no feedback. */
  readonly cells: readonly Cell[];
  readonly changes: readonly InputChange[];
  readonly circuit: Circuit;
}

const gates = {
  not: ["A", "!A"],
  buffer: ["A", "A"],
  and: ["A B", "A & B"],
  nand: ["A B", "!(A & B)"],
  or: ["A B", "A | B"],
  nor: ["A B", "!(A | B)"],
  xor: ["A B", "A ^ B"],
  choose: ["S A B", "S ? B : A"],
  majority: ["A B C", "A & B | A & C | B & C"],
} as const;

const kinds = {
  ...gates,
  "flip-flop": ["D CLK", ""],
  "flip-flop with clear": ["D CLK CLR#", ""],
  latch: ["D G", ""],
} as const;

/** Input pins of a kind of cell. */
export function pinsOf(kind: Cell["kind"]): readonly string[] {
  return kinds[kind][0].split(" ");
}

/** Of a kind that is a gate: its expression. */
export function expressionOf(kind: Cell["kind"]): string {
  return kinds[kind][1];
}

export interface RandomCircuitOptions {
  readonly cells?: number;
  readonly inputs?: number;
  readonly changes?: number;
  /** Only gates. */
  readonly gatesOnly?: boolean;
  /** Limits of an arc's delay in nanoseconds. */
  readonly delay?: (ref: string, from: string, edge: string, change: string) => Limits;
  /** Limits of a wire's delay in nanoseconds; none when absent. */
  readonly wires?: readonly [least: number, most: number];
}

/** Circuits of gates, flip-flops and latches without feedback, with some changes at their inputs. */
export function randomCircuits(options: RandomCircuitOptions = {}): fc.Arbitrary<RandomCircuit> {
  const { cells: most = 8, inputs: inputCount = 3, changes: mostChanges = 12 } = options;
  const names = (options.gatesOnly ? Object.keys(gates) : Object.keys(kinds)) as Cell["kind"][];
  const inputs = Array.from({ length: inputCount }, (_, index) => `I${index}`);
  const drafts = fc.array(
    fc.record({ kind: fc.constantFrom(...names), feeds: fc.array(fc.nat(), { minLength: 3, maxLength: 3 }) }),
    {
      minLength: 1,
      maxLength: most,
    },
  );
  const changes = fc.array(fc.record({ input: fc.constantFrom(...inputs), time: fc.integer({ min: 1, max: 200 }) }), {
    maxLength: mostChanges,
  });
  return fc.record({ drafts, changes }).map(({ drafts, changes }) => {
    const cells = drafts.map(({ kind, feeds }, index): Cell => {
      const sources = [...inputs, ...drafts.slice(0, index).map((_, earlier) => `N${earlier}`)];
      return {
        ref: `N${index}`,
        kind,
        feeds: pinsOf(kind).map((_, pin) => sources[(feeds[pin] ?? 0) % sources.length] ?? "I0"),
      };
    });
    const circuit = circuitOf({ inputs, cells }, options);
    const ordered = distinct(changes);
    const lines = [
      ...cells.map(({ ref, kind, feeds }) => `${ref} = ${kind} of ${feeds.join(", ")}`),
      ...ordered.map(({ input, time }) => `${input} changes at ${time} ns`),
    ];
    return { inputs, cells, changes: ordered, circuit, [fc.toStringMethod]: () => lines.join("\n") };
  });
}

/** The circuit of some cells; `netName` may give the nets other names than the cells and inputs have. */
export function circuitOf(
  { inputs, cells }: Pick<RandomCircuit, "inputs" | "cells">,
  { delay = () => [1, 20], wires = [0, 0] }: RandomCircuitOptions = {},
  netName: (name: string) => string = (name) => name,
): Circuit {
  const chips = cells.map((cell) => {
    const pins = pinsOf(cell.kind).map((pin, index) => `${pin}=${netName(cell.feeds[index] ?? "")}`);
    return [cell.ref, [partOf(cell, delay), `${pins.join(" ")} Y=${netName(cell.ref)}`]] as const;
  });
  return buildCircuit({
    chips: Object.fromEntries(chips),
    inputs: Object.fromEntries(inputs.map((name) => [netName(name), ANY_TIME])),
    wires,
  });
}

function partOf({ ref, kind }: Cell, delay: NonNullable<RandomCircuitOptions["delay"]>): Part {
  const figures = {
    delay: (from: string, edge: string, _to: string, change: string) => delay(ref, from, edge, change),
  };
  const shared = { function: kind, inputs: pinsOf(kind).join(" "), outputs: "Y", drives: { Y: "q" } };
  if (kind === "flip-flop") return invent({ ...shared, storage: [register("q", "CLK", "D")] }, figures);
  if (kind === "flip-flop with clear") {
    return invent({ ...shared, storage: [register("q", "CLK", "D", ["!CLR#", "0"])] }, figures);
  }
  if (kind === "latch") return invent({ ...shared, storage: [latch("q", "G", "D")] }, figures);
  return invent({ ...shared, drives: { Y: expressionOf(kind) } }, figures);
}

/** One change of an input at a time, in order. */
function distinct(changes: readonly InputChange[]): readonly InputChange[] {
  const kept = new Map(changes.map((change) => [`${change.input} ${change.time}`, change]));
  return [...kept.values()].sort((a, b) => a.time - b.time);
}
