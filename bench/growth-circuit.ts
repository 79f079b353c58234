import { type Circuit, formatProblem, readCircuit } from "../src/circuit/index.js";

export interface GrowthOptions {
  /**
   * Four-bit counters one behind the other. With one in each group that counts its last carry, the state comes back after
   * 2 * 16^(counters + 1) oscillator periods, where there are as many groups as counters.
   */
  readonly counters: number;
  /** Groups of four chips beside them: a counter, gates on its outputs, a register of what they say, and gates on that. */
  readonly groups: number;
}

/** A circuit of 2 + counters + 4 * groups chips, all of them on one clock, for measuring how the proof grows. */
export function growthCircuit({ counters, groups }: GrowthOptions): Circuit {
  const text = [
    "dotwright: 1",
    "title: Counters and what is decoded from them",
    "supply: 5 V",
    "build: breadboard",
    "unstated minimum delays: quarter of typical",
    "raster: 640x480@60",
    "chips:",
    "  X1: { part: OSC-8.000MHz, pins: { OUT: OSC } }",
    "  U1: { part: 74HC74, pins: { 1CLK: OSC, 1D: DOT#, 1Q: DOT, 1Q#: DOT#, 1PRE#: high, 1CLR#: high, " +
      "2CLK: low, 2D: low, 2PRE#: high, 2CLR#: high, 2Q: open, 2Q#: open } }",
    ...Array.from({ length: counters }, (_, index) =>
      counter(index + 2, `M${index}`, index === 0 ? "high" : `M${index - 1}CARRY`, `M${index}CARRY`),
    ),
    ...Array.from({ length: groups }, (_, index) => group(counters + 2 + 4 * index, index, counters)).flat(),
  ].join("\n");
  const { circuit, problems } = readCircuit(text, "growth.circuit.yaml");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}

function counter(number: number, name: string, enable: string, carry: string): string {
  return (
    `  U${number}: { part: 74HC163, pins: { CLK: DOT, CLR#: high, LOAD#: high, ENP: high, ENT: ${enable}, ` +
    `A: low, B: low, C: low, D: low, QA: ${name}A, QB: ${name}B, QC: ${name}C, QD: ${name}D, RCO: ${carry} } }`
  );
}

function group(number: number, index: number, counters: number): readonly string[] {
  const [main, own] = [`M${index % counters}`, `G${index}`];
  const gates = ["A", "B", "C", "D"].map(
    (bit, at) => `${at + 1}A: ${own}${bit}, ${at + 1}B: ${main}${bit}, ${at + 1}Y: ${own}N${at}`,
  );
  const bits = [0, 1, 2, 3].map((at) => `${at + 1}D: ${own}N${at}, ${at + 1}Q: ${own}R${at}, ${at + 1}Q#: open`);
  const compared = [0, 1, 2, 3].map(
    (at) => `${at + 1}A: ${own}R${at}, ${at + 1}B: ${own}R${(at + 1) % 4}, ${at + 1}Y: open`,
  );
  return [
    counter(number, own, `${main}CARRY`, "open"),
    `  U${number + 1}: { part: 74HC00, pins: { ${gates.join(", ")} } }`,
    `  U${number + 2}: { part: 74HC175, pins: { CLK: DOT, CLR#: high, ${bits.join(", ")} } }`,
    `  U${number + 3}: { part: 74HC86, pins: { ${compared.join(", ")} } }`,
  ];
}
