import type { Circuit } from "../../src/circuit/index.js";
import type { Edge } from "../../src/parts/index.js";
import { type GivenFigures, type InputText, buildCircuit, gate, known, oscillator } from "./build-circuit.js";
import { randomNumbers } from "./random-bits.js";

/**
 * A memory whose byte bus is shared in turns: a counter's address reads it into a shift register or a register, and a byte
 * from outside, held by a register that WR# clocks, is written to it. All figures are drawn: in some circuits one bit of a
 * chip is unlike the others, some lack a hold time, and in some the clock is too fast.
 */
export function busCircuit(seed: number): Circuit {
  const draw = drawFrom(seed);
  const chance = (share: number) => draw(0, 99) < 100 * share;
  const least = chance(0.5) ? 0 : draw(1, 4);
  /** Delays of all arcs of a chip, those of one output or of one input longer where it is unlike the others. */
  const delays = (most: number): Arcs => {
    const odd = chance(0.3) ? draw(1, 8) : 0;
    return (from: string, edge: Edge, to: string) => {
      const isOdd = odd > 0 && (to.includes(String(odd)) || from.includes(String(odd)));
      return [least, most + (isOdd ? 7 : 0) + (edge === "fall" ? 1 : 0)];
    };
  };
  const clocked = (most: number): GivenFigures => ({
    delay: delays(most),
    ...{ setUp: draw(2, 8), width: 8, recovery: 4, period: 20 },
    ...(chance(0.9) && { hold: draw(0, 3) }),
  });
  const isShifted = chance(0.5);
  const isBuffered = chance(0.4);
  const byte = isBuffered ? "BD1..BD8" : "D1..D8";
  const pd: InputText = { steadyAround: ["WR#", "rise"], before: draw(20, 40), after: draw(5, 15) };
  const repeat = draw(1500, 2500);
  return buildCircuit({
    title: `bus of seed ${seed}`,
    wires: [0, draw(0, 2)],
    inputs: { "WR#": { anyTime: { high: 100, low: 100, repeat } }, "PD1..PD8": pd },
    chips: {
      X1: [oscillator(draw(25, 60)), "OUT=CK"],
      U1: [known("163", clocked(12)), "CLK=CK CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QD=P0..P3"],
      U2: [known("163", clocked(14)), "CLK=P3 CLR#=high LOAD#=high ENP=high ENT=high A..D=low QA..QB=C0..C1"],
      G1: [gate("A", "!A", [least, 6]), "A=P2 Y=WRITING#"],
      G2: [gate("A B", "!(!A & !B)", [least, 7]), "A=WRITING# B=P1 Y=WE#"],
      U3: [known("574", clocked(15)), "CLK=WR# OE#=WRITING# 1D..8D=PD1..PD8 1Q..8Q=D1..D8"],
      U4: [
        known("32Kx8", {
          delay: delays(draw(20, 50)),
          memory: { tRC: 50, tWC: 50, tAS: 0, tAW: 30, tCW: 30, tWP: 20, tWR: 0, tDW: 20, tDH: 0 },
        }),
        "A0..A1=C0..C1 A2..A14=low CE#=low OE#=P2 WE#=WE# IO0..IO7=D1..D8",
      ],
      ...(isBuffered && {
        U5: [known("541", { delay: delays(10) }), "OE1#=low OE2#=low A1..A8=D1..D8 Y1..Y8=BD1..BD8"],
      }),
      ...(isShifted
        ? { U6: [known("166", clocked(13)), `CLK=CK CLKINH=low CLR#=high SER=low SH/LD#=P1 A..H=${byte} QH=OUT`] }
        : { U6: [known("574", clocked(13)), `CLK=P3 OE#=low 1D..8D=${byte} 1Q..8Q=Q1..Q8`] }),
    },
  });
}

type Arcs = Extract<GivenFigures["delay"], (...arc: never) => unknown>;

function drawFrom(seed: number): (least: number, most: number) => number {
  const random = randomNumbers(seed);
  return (least, most) => least + random(most - least + 1);
}
