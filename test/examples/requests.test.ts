import { describe, expect, test } from "vitest";
import { PICTURE, RESET_END, type Running, edges, openBoard, runBoard } from "./board.js";

/** Puts a byte out, pulses WR#, and changes address and data as soon as the file allows it. */
function request(running: Running, address: number, data: number): void {
  running.drive("PA", address, { bits: 15, in: 60 });
  running.drive("PD", data, { bits: 8, in: 60 });
  running.drive("WR#", 0, { in: 10 });
  running.drive("WR#", 1, { in: 110 });
  running.drive("PA", ~address, { bits: 15, in: 121 });
  running.drive("PD", ~data, { bits: 8, in: 121 });
}

const boards = [
  { name: "tide-board", repeat: 2600, cycle: 635.6 },
  { name: "tide-board-wide-fast", repeat: 1300, cycle: 317.8 },
];

describe.each(boards)("$name", ({ name, repeat, cycle }) => {
  const circuit = openBoard(name);

  test.each(["earliest", "typical", "latest"] as const)("writes each request once, where it should (%s)", (delays) => {
    const running = runBoard(circuit, ["WE#"], delays);
    const memory = running.simulator.memories[0];
    if (!memory) throw new Error("no memory");
    // The request flip-flop comes up as it likes and may ask for one write of its own before we begin.
    let now = RESET_END + 6 * cycle;
    running.until(now);
    const expected = memory.contents.slice();
    const before = edges(running.trace("WE#"), "0").length;
    const count = 60;
    for (let index = 0; index < count; index++) {
      const address = (index * 7919 + 13) % 32768;
      const data = (index * 37 + 1) % 256;
      request(running, address, data);
      expected[address] = data;
      // At the least distance, and so that the rise falls on every part of the cycle in turn.
      now += repeat + (cycle * index) / count;
      running.until(now);
    }
    running.until(now + 4 * cycle);
    expect(memory.contents).toEqual(expected);
    expect(edges(running.trace("WE#"), "0")).toHaveLength(before + count);
    expect(edges(running.trace("WE#"), "1")).toHaveLength(before + count);
    expect(memory.strayCount).toBe(0);
  });

  test.each(["earliest", "typical", "latest"] as const)("never lets two outputs drive one wire (%s)", (delays) => {
    const running = runBoard(circuit, [], delays);
    running.until(RESET_END + 200 * cycle);
    expect(running.simulator.contentions.count).toBe(0);
  });

  test("lets no two outputs drive one wire at power-up either, before the oscillator has begun", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const running = runBoard(circuit, [], "typical", { seed });
      expect([...running.simulator.contentions.open, ...running.simulator.contentions.ended]).toEqual([]);
    }
  });
});

describe("tide-board-loader", () => {
  const circuit = openBoard("tide-board-loader");

  test("has two owners on the address and data wires in every cycle", () => {
    const running = runBoard(circuit, []);
    running.until(RESET_END + 10 * 635.6);
    running.simulator.contentions.ended.length = 0;
    running.until(RESET_END + 12 * 635.6);
    const nets = new Set(running.simulator.contentions.ended.map(({ net }) => net.name));
    expect([...nets]).toEqual(expect.arrayContaining(["MA0", "MD0"]));
  });

  test("takes 24 shifts and one store, and writes where it should not when the store comes in a write pulse", () => {
    const running = runBoard(circuit, ["WE#"]);
    running.until(RESET_END + 10 * 635.6);
    const shift = (bit: number) => {
      running.drive("SERIAL", bit);
      running.drive("SHIFT", 1, { in: 250 });
      running.drive("SHIFT", 0, { in: 500 });
      running.until(running.simulator.now / 1e6 + 600);
    };
    const load = (address: number, data: number) => {
      for (let bit = 7; bit >= 0; bit--) shift((data >> bit) & 1);
      for (let bit = 15; bit >= 0; bit--) shift((address >> bit) & 1);
    };
    const store = (time: number) => {
      running.drive("STORE", 1, { in: time });
      running.drive("STORE", 0, { in: time + 100 });
    };
    const memory = running.simulator.memories[0];
    if (!memory) throw new Error("no memory");
    load(0x1234, 0xa5);
    store(0);
    running.until(running.simulator.now / 1e6 + 3 * 635.6);
    expect(memory.contents[0x1234]).toBe(0xa5);

    load(0x6dcb, 0x5a);
    const strayBefore = memory.strayCount;
    const lastPulse = edges(running.trace("WE#"), "0").at(-1) ?? 0;
    // In the middle of a coming pulse, 79 ns wide, less what store and wires take.
    store(lastPulse + 2 * 635.555 + 40 - 20 - running.simulator.now / 1e6);
    running.until(running.simulator.now / 1e6 + 4 * 635.6);
    expect(memory.strayCount).toBeGreaterThan(strayBefore);
  });
});

test("the memory in these tests holds bytes of every value", () => {
  expect(new Set(PICTURE).size).toBe(256);
});
