import { type Circuit, formatProblem, readCircuit } from "../../../src/circuit/index.js";

/**
 * A circuit of 60 chips that says nothing by headings: an oscillator, a chain of counters, registers on buses that count up,
 * gates across them, memories and buffers, in the numbers in which a large board has them.
 */
export function sixtyChips(): Circuit {
  const chips: string[] = ["  X1: { part: OSC-25.175MHz, pins: { OUT: CLOCK } }"];
  const counters = 12;
  for (let i = 0; i < counters; i++) {
    const carry = i === 0 ? "high" : `CARRY${i - 1}`;
    chips.push(
      `  U${i + 1}: { part: 74HC163, pins: { CLK: CLOCK, "CLR#, LOAD#": high, ENP: high, ENT: ${carry}, "A, B, C, D": low, ` +
        `"Q[A..D]": "COUNT[${4 * i}..${4 * i + 3}]", RCO: ${i === counters - 1 ? "open" : `CARRY${i}`} } }`,
    );
  }
  for (let i = 0; i < 6; i++) {
    chips.push(
      `  U${13 + i}: { part: 74HC574, note: register ${i}, pins: { CLK: CLOCK, OE#: low, "[1..8]D": "COUNT[${8 * i}..${8 * i + 7}]", "[1..8]Q": "HELD[${8 * i}..${8 * i + 7}]" } }`,
    );
  }
  const gates = 28;
  for (let i = 0; i < gates; i++) {
    const [a, b] = [(i * 5) % 48, (i * 11 + 7) % 48];
    chips.push(
      `  U${19 + i}: { part: ${i % 2 === 0 ? "74HC00" : "74HC32"}, pins: { 1A: HELD${a}, 1B: HELD${b}, 1Y: MET${4 * i}, 2A: MET${4 * i}, 2B: HELD${(a + 1) % 48}, 2Y: MET${4 * i + 1}, ` +
        `3A: MET${4 * i + 1}, 3B: COUNT${b}, 3Y: MET${4 * i + 2}, 4A: MET${4 * i + 2}, 4B: MET${(4 * i + 101) % (4 * gates)}, 4Y: MET${4 * i + 3} } }`,
    );
  }
  for (let i = 0; i < 6; i++) {
    const read = `SELECT${i}#`;
    chips.push(
      `  U${47 + i}: { part: 74HC244, note: bank ${i}, pins: { "1OE#, 2OE#": ${read}, "1A[1..4]": "HELD[${8 * i}..${8 * i + 3}]", "1Y[1..4]": "ADDRESS[0..3]", "2A[1..4]": "HELD[${8 * i + 4}..${8 * i + 7}]", "2Y[1..4]": "ADDRESS[4..7]" } }`,
    );
  }
  chips.push(
    `  U53: { part: 74HC138, note: one bank at a time, pins: { G1: high, "G2A#, G2B#": low, A: COUNT0, B: COUNT1, C: COUNT2, "Y[0..5]#": "SELECT[0..5]#", "Y[6..7]#": open } }`,
  );
  for (let i = 0; i < 2; i++) {
    chips.push(
      `  U${54 + i}: { part: 62256-70, pins: { "A[0..7]": "ADDRESS[0..7]", "A[8..14]": low, "IO[0..7]": "DATA${i}_[0..7]", CE#: low, OE#: low, WE#: high } }`,
      `  U${56 + i}: { part: 74HCT166, pins: { CLK: CLOCK, CLKINH: low, CLR#: high, SH/LD#: MET3, SER: low, "[A..H]": "DATA${i}_[0..7]", QH: DOTS${i} } }`,
      `  U${58 + i}: { part: 74HC74, pins: { 1CLK: CLOCK, 1D: DOTS${i}, 1Q: LATE${i}, 1Q#: open, "1PRE#, 1CLR#": high, 2CLK: CLOCK, 2D: MET7, 2Q: EDGE${i}, 2Q#: open, "2PRE#, 2CLR#": high } }`,
    );
  }
  const text = [
    "dotwright: 1",
    "title: Sixty chips",
    "supply: 5 V ± 5 %",
    "ambient: 0 to 50 °C",
    "build: printed board",
    "raster: 640x480@60",
    "chips:",
    ...chips,
  ].join("\n");
  const { circuit, problems } = readCircuit(text, "sixty.circuit.yaml");
  if (!circuit) throw new Error(problems.map(formatProblem).join("\n"));
  return circuit;
}
