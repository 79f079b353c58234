import { expect, test } from "vitest";
import { read } from "./harbour.js";

/** A board of 100 chips in the plain style, one pin a line: 98 inverters in chains, a counter and an oscillator. */
function hundredChips(): string {
  const inverters = Array.from({ length: 98 }, (_, n) => {
    const gates = [1, 2, 3, 4, 5, 6].map((gate) => {
      const into = n === 0 ? "DOT" : `N${n - 1}_${gate}`;
      return `      ${gate}A: ${into}\n      ${gate}Y: ${n === 97 ? "open" : `N${n}_${gate}`}\n`;
    });
    return `  U${n}:\n    part: 74HC04\n    note: a link of the chain\n    pins:\n${gates.join("")}`;
  });
  return `dotwright: 1
title: Chains
raster: 640x480@60
chips:
  X1: {part: OSC-25.175MHz, pins: {OUT: DOT}}
  U98:
    part: 74HC163
    pins:
      CLK: DOT
      CLR#, LOAD#, ENP, ENT: high
      A, B, C, D: low
      QA, QB, QC, QD, RCO: open
${inverters.join("")}`;
}

test("a circuit of 100 chips is read in under 100 ms of processor time", () => {
  const text = hundredChips();
  const times = Array.from({ length: 6 }, () => {
    const before = process.cpuUsage();
    const { circuit } = read(text);
    const { user, system } = process.cpuUsage(before);
    expect(circuit?.chips).toHaveLength(100);
    return (user + system) / 1000;
  });
  console.log(`100 chips read in ${times.map((time) => time.toFixed(0)).join(", ")} ms`);
  expect(Math.min(...times)).toBeLessThan(100);
});
