import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parseExpression } from "../../src/parts/index.js";
import { ns } from "../../src/quantity/index.js";
import { ANY_TIME, buildCircuit, chipOf, invent } from "../support/build-circuit.js";
import { letterOf, listen, play, start } from "./running.js";

/** Sixteen words of four bits. */
const memory = invent(
  {
    function: "16x4",
    inputs: "A0..A3 CE# OE# WE#",
    inOuts: "IO0..IO3",
    memory: {
      address: ["A0", "A1", "A2", "A3"],
      data: ["IO0", "IO1", "IO2", "IO3"],
      read: parseExpression("!CE# & !OE# & WE#"),
      write: parseExpression("!CE# & !WE#"),
    },
  },
  { delay: (from, _edge, _to, change) => (change.endsWith("-z") ? 25 : from.startsWith("A") ? 70 : 35) },
);

/** The memory alone; data come from outside through buffers that are enabled with the write. */
const circuit = buildCircuit({
  chips: {
    U1: [memory, "A0..A3=A0..A3 CE#=low OE#=OE# WE#=WE# IO0..IO3=D0..D3"],
    U2: ["74HC244", "1OE#=WE# 1A1..1A4=W0..W3 1Y1..1Y4=D0..D3"],
  },
  inputs: { "A0..A3": ANY_TIME, "OE#": ANY_TIME, "WE#": ANY_TIME, "W0..W3": ANY_TIME },
});
const chip = chipOf(circuit, "U1");
const contents = Uint8Array.from({ length: 16 }, (_, address) => 15 - address);
const idle = { "WE#": 1, "OE#": 0 } as const;

function setBits(simulator: ReturnType<typeof start>, prefix: string, time: number, value: number): void {
  for (let bit = 0; bit < 4; bit++) play(simulator, `${prefix}${bit}`, [[time, ((value >> bit) & 1) as 0 | 1]]);
}

function dataOf(simulator: ReturnType<typeof start>): string {
  return [3, 2, 1, 0].map((bit) => letterOf(simulator, `D${bit}`)).join("");
}

describe("a memory in the simulation", () => {
  it("shows a cell after the delay from the address, and lets go after that from its output enable", () => {
    const simulator = start(circuit, { contents: new Map([[chip, contents]]), inputs: idle });
    const d1 = listen(simulator, "D1");
    expect(dataOf(simulator)).toBe("1111");
    setBits(simulator, "A", 100, 5); // 15 - 5 = 1010
    simulator.run(ns(169));
    expect(dataOf(simulator)).toBe("1111");
    simulator.run(ns(170));
    expect(dataOf(simulator)).toBe("1010");
    play(simulator, "OE#", [[200, 1]]);
    simulator.run(ns(300));
    expect(dataOf(simulator)).toBe("zzzz");
    expect(d1.at(-1)).toEqual([225, "z"]);
  });

  it("keeps in each cell what was written last, whatever was written where", () => {
    const writes = fc.array(fc.record({ address: fc.nat(15), value: fc.nat(15) }), { maxLength: 12 });
    fc.assert(
      fc.property(writes, (writes) => {
        const simulator = start(circuit, { contents: new Map([[chip, contents]]), inputs: idle });
        const expected = [...contents];
        writes.forEach(({ address, value }, index) => {
          const time = 1000 * (index + 1);
          setBits(simulator, "A", time, address);
          play(simulator, "OE#", [[time, 1]]);
          setBits(simulator, "W", time + 100, 15 - value); // not yet the data
          play(simulator, "WE#", [[time + 200, 0]]);
          setBits(simulator, "W", time + 300, value);
          play(simulator, "WE#", [[time + 400, 1]]);
          setBits(simulator, "W", time + 600, 0);
          play(simulator, "OE#", [[time + 700, 0]]);
          expected[address] = value;
          simulator.run(ns(time + 999));
          expect(parseInt(dataOf(simulator), 2)).toBe(value);
        });
        const [state] = simulator.memories;
        expect([...(state?.contents ?? [])]).toEqual(expected);
        expect(state?.unknown.every((bits) => bits === 0)).toBe(true);
        expect([state?.writeCount, state?.strayCount]).toEqual([writes.length, 0]);
      }),
    );
  });

  it("writes every cell that the address touches during the pulse, and lists the stray ones", () => {
    const simulator = start(circuit, { contents: new Map([[chip, contents]]), inputs: { ...idle, "OE#": 1 } });
    setBits(simulator, "W", 50, 6);
    play(simulator, "WE#", [[100, 0]]); // cell 0
    play(simulator, "A0", [[200, 1]]); // cell 1
    play(simulator, "A3", [[203, 1]]); // cell 9
    play(simulator, "WE#", [[300, 1]]);
    simulator.run(ns(400));
    const [state] = simulator.memories;
    expect([0, 1, 8, 9].map((address) => state?.contents[address])).toEqual([6, 6, 7, 6]);
    expect(state?.strayWrites).toEqual([
      { ref: "U1", time: 200e6, address: 1 },
      { ref: "U1", time: 203e6, address: 9 },
    ]);
  });

  it("reads unknown what no one wrote, and known what all cells that it may be agree on", () => {
    const half = contents.slice(0, 8); // cells 8 to 15 are unknown
    const simulator = start(circuit, { contents: new Map([[chip, half]]), inputs: idle });
    play(simulator, "A3", [[100, 1]]);
    simulator.run(ns(200));
    expect(dataOf(simulator)).toBe("xxxx");
    play(simulator, "A3", [[300, 0]]);
    play(simulator, "A0", [[300, 2]]); // cell 0 or 1: 1111 or 1110
    simulator.run(ns(400));
    expect(dataOf(simulator)).toBe("111x");
  });

  it("spoils a cell that may or may not have been written, where old and new differ", () => {
    const simulator = start(circuit, { contents: new Map([[chip, contents]]), inputs: { ...idle, "OE#": 1 } });
    setBits(simulator, "W", 50, 0b0101);
    play(simulator, "WE#", [[100, 2]]);
    play(simulator, "WE#", [[200, 1]]);
    play(simulator, "OE#", [[250, 0]]);
    simulator.run(ns(400));
    // The buffers may or may not have driven either, so the data are unknown and all bits are lost.
    expect(dataOf(simulator)).toBe("xxxx");
    expect(simulator.memories[0]?.unknown[0]).toBe(0b1111);
  });

  it("refuses more bytes than it holds", () => {
    const tooMany = new Uint8Array(17);
    expect(() => start(circuit, { contents: new Map([[chip, tooMany]]) })).toThrow("U1 holds 16 bytes; 17 were given");
  });
});
