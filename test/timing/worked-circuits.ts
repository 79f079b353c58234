import type { Circuit } from "../../src/circuit/index.js";
import { register } from "../../src/parts/behaviours/define.js";
import type { Edge, Part } from "../../src/parts/index.js";
import { inNs, range } from "../../src/quantity/index.js";
import { type Verdict, prove } from "../../src/timing/index.js";
import { type Limits, buildCircuit, gate, invent, known, oscillator } from "../support/build-circuit.js";

/** Circuits that the worked examples of books describe, with the figures that they give. All times in nanoseconds. */

export interface PathExample {
  readonly period: number;
  /** From the clock to the output of the flip-flop that launches. */
  readonly clockToOutput?: Limits;
  /** The edge of the clock at which it launches; high for `highShare` of the period. */
  readonly launchEdge?: Edge;
  readonly highShare?: number;
  /** Gates between the two flip-flops, one after the other. */
  readonly gates?: readonly Limits[];
  readonly setUp?: number;
  readonly hold?: number;
  /** Clock buffers that both flip-flops share, and those of each alone. */
  readonly sharedClock?: readonly Limits[];
  readonly launchClock?: readonly Limits[];
  readonly captureClock?: readonly Limits[];
}

/** What a proof says of a path, in nanoseconds. `available` less what is required is the margin. */
export interface PathProof {
  readonly setUp: { readonly available: number; readonly margin: number };
  readonly hold: { readonly available: number; readonly margin: number };
  readonly states: Readonly<Record<"setUp" | "hold", Verdict["state"]>>;
}

/** Proves a path from one flip-flop, which changes with every clock, through gates to another. */
export function provePath(example: PathExample): PathProof {
  const { period, launchEdge = "rise", highShare = 0.5, clockToOutput = 0, gates = [], setUp = 0, hold = 0 } = example;
  const chips: Record<string, readonly [Part, string]> = {
    X1: [oscillator(period, range(highShare, highShare)), "OUT=CK"],
  };
  const chain = (name: string, from: string, delays: readonly Limits[]): string =>
    delays.reduce<string>((net, delay, n) => {
      chips[`${name}${n + 1}`] = [gate("A", "A", delay), `A=${net} Y=${name}_${n + 1}`];
      return `${name}_${n + 1}`;
    }, from);
  const shared = chain("S", "CK", example.sharedClock ?? []);
  const launch = chain("L", shared, example.launchClock ?? []);
  const capture = chain("C", shared, example.captureClock ?? []);
  chips["U1"] = [toggle(launchEdge, clockToOutput), `CLK=${launch} Q=FROM`];
  chips["U2"] = [flipFlop(setUp, hold), `CLK=${capture} D=${chain("G", "FROM", gates)}`];
  return readPath(buildCircuit({ chips }), "U2 D");
}

/** Set-up and hold of one data pin. */
export function readPath(circuit: Circuit, pin: string): PathProof {
  const { verdicts } = prove(circuit);
  const of = (rules: readonly string[]) => {
    const found = verdicts.filter(({ chip, rule, ...v }) => rules.includes(rule) && `${chip} ${v.pin}` === pin);
    const [verdict] = found;
    if (!verdict || verdict.available === undefined || verdict.margin === undefined || found.length > 1) {
      throw new Error(`${rules.join("/")} ${pin}: ${found.length} in ${verdicts.map(({ name }) => name).join(", ")}`);
    }
    return { state: verdict.state, available: inNs(verdict.available), margin: inNs(verdict.margin) };
  };
  const [setUp, hold] = [of(["set-up", "memory read"]), of(["hold"])];
  return { setUp, hold, states: { setUp: setUp.state, hold: hold.state } };
}

/** A flip-flop whose output Q changes at every such edge of CLK. */
export function toggle(edge: Edge, delay: Limits): Part {
  const clock = edge === "rise" ? "CLK" : "!CLK";
  return invent(
    {
      function: `toggle at each ${edge}`,
      inputs: "CLK",
      outputs: "Q",
      storage: [register("q", clock, "!q")],
      drives: { Q: "q" },
    },
    { delay, width: 0, period: 0 },
  );
}

/** A flip-flop that takes D at each rise of CLK. */
export function flipFlop(setUp: number, hold: number): Part {
  return invent(
    { function: "flip-flop", inputs: "CLK D", outputs: "", storage: [register("q", "CLK", "D")], drives: {} },
    { setUp, hold, width: 0, period: 0 },
  );
}

export interface ReadExample {
  /** Of the processor's clock. */
  readonly period: number;
  /** How the processor reads; `one` by default. */
  readonly cycle?: keyof typeof cycles;
  /** From the clock that begins the read to address, chip enable and output enable at the memory. */
  readonly address: number;
  readonly chipEnable?: number;
  readonly outputEnable?: number;
  /** Access times of the memory. */
  readonly fromAddress: number;
  readonly fromChipEnable?: number;
  readonly fromOutputEnable?: number;
  /** From the memory to the processor. */
  readonly back?: number;
  readonly setUp?: number;
}

/**
 * Clocks from a new address to the data, with the memory always enabled; or one clock in which the memory is enabled, and one
 * between reads. Storage that runs through the clocks of a cycle, and its state in the clocks that end with the new address
 * and with the data; those with a half end in the middle of the clock with the data.
 */
const cycles = {
  one: { states: [], address: "1", data: "1", taken: "CLK", isOff: "0" },
  "one and a half": { states: [register("p", "CLK", "!p")], address: "!p", data: "!p", taken: "!CLK", isOff: "0" },
  "two and a half": {
    states: [register("p", "CLK", "!p & !q"), register("q", "CLK", "p")],
    address: "!p & !q",
    data: "!p & !q",
    taken: "!CLK",
    isOff: "0",
  },
  three: {
    states: [register("p", "CLK", "!p & !q"), register("q", "CLK", "p")],
    address: "!p & !q",
    data: "!p & !q",
    taken: "CLK",
    isOff: "0",
  },
  "one with enables": { states: [register("p", "CLK", "!p")], address: "p", data: "!p", taken: "CLK", isOff: "p" },
} as const;

/** Margin in nanoseconds of a processor that reads a memory in every cycle. */
export function proveRead(example: ReadExample): number {
  const { period, cycle = "one", address, chipEnable = 0, outputEnable = 0, back = 0, setUp = 0 } = example;
  const { fromAddress, fromChipEnable = 0, fromOutputEnable = 0 } = example;
  const { states, taken, isOff, ...ends } = cycles[cycle];
  const after: Readonly<Record<string, number>> = { A: address, "CE#": chipEnable, "OE#": outputEnable };
  const access: Readonly<Record<string, number>> = { "CE#": fromChipEnable, "OE#": fromOutputEnable };
  const processor = invent(
    {
      function: `processor, ${cycle}`,
      inputs: "CLK D",
      outputs: "A CE# OE#",
      storage: [
        ...states,
        register("a", "CLK", `(${ends.address}) ? !a : a`),
        register("d", taken, `(${ends.data}) ? D : d`),
      ],
      drives: { A: "a", "CE#": isOff, "OE#": isOff },
    },
    { delay: (_from, _edge, to) => after[to], setUp, hold: 0, width: 0, period: 0 },
  );
  const circuit = buildCircuit({
    chips: {
      X1: [oscillator(period), "OUT=CK"],
      U1: [processor, "CLK=CK A=A0 CE#=CE# OE#=OE# D=BACK"],
      U2: [
        known("32Kx8", { delay: (from) => access[from] ?? fromAddress }),
        "A0=A0 A1..A14=low CE#=CE# OE#=OE# WE#=high IO0=D0",
      ],
      U3: [gate("A", "A", back), "A=D0 Y=BACK"],
    },
  });
  return readPath(circuit, "U1 D").setUp.margin;
}
