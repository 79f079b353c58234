import { beforeAll, describe, expect, test } from "vitest";
import { fs } from "../../src/quantity/index.js";
import { powerUpBoard } from "../../src/simulation/index.js";
import { netOf } from "../support/build-circuit.js";
import { PICTURE, openBoard } from "./board.js";

interface Change {
  /** Nanoseconds. */
  readonly time: number;
  readonly level: number;
}

/** CTA-861 VIC 23, 312 lines: here 54 cells of 4 dots of 3.375 MHz, 4 of them sync and 4 back porch. */
const DOT_NS = 4000 / 13.5;
const LINE_NS = 64_000;

/** Red, green and blue of the two bits of a dot: black, cyan, red, white. */
const COLOURS = ["000", "011", "100", "111"];

describe("the bowling board, RGB of 15 kHz, two bits a dot, in its first lines", () => {
  const lines = 4;
  const traces = { RED: [] as Change[], GREEN: [] as Change[], BLUE: [] as Change[], CSYNC: [] as Change[] };
  beforeAll(() => {
    const circuit = openBoard("bowling-board");
    const ram = circuit.chips.find(({ part }) => part.behaviour.memory);
    const { simulator, released } = powerUpBoard(circuit, { ...(ram && { contents: new Map([[ram, PICTURE]]) }) });
    for (const [net, trace] of Object.entries(traces)) {
      simulator.observe(netOf(circuit, net).id, (time, word) => trace.push({ time: time / 1e6, level: word & 3 }));
    }
    simulator.run(fs(released + (lines + 1) * LINE_NS * 1e6));
  }, 60_000);

  const at = (trace: readonly Change[], time: number) =>
    trace.filter((change) => change.time <= time).at(-1)?.level ?? 0;
  const begins = () => traces.CSYNC.filter(({ time, level }) => level === 0 && time > 20_000).map(({ time }) => time);

  test("has a line every 64 us, with a sync of 4.5 to 4.9 us (ITU-R BT.470-5)", () => {
    const falls = begins();
    expect(falls.length).toBeGreaterThanOrEqual(lines);
    falls.slice(1).forEach((fall, index) => expect(fall - (falls[index] ?? 0)).toBeCloseTo(LINE_NS, 1));
    const rise = traces.CSYNC.find(({ time, level }) => level === 1 && time > (falls[0] ?? 0))?.time ?? 0;
    expect(rise - (falls[0] ?? 0)).toBeGreaterThan(4500);
    expect(rise - (falls[0] ?? 0)).toBeLessThan(4900);
  });

  test("shows every dot in its place and colour, and black beside it", () => {
    begins()
      .slice(0, lines - 1)
      .forEach((sync, index) => {
        const row = index + 1;
        const bytes = [...PICTURE.subarray(row * 64, row * 64 + 45)];
        const dots = bytes.flatMap((byte) => [6, 4, 2, 0].map((shift) => COLOURS[(byte >> shift) & 3]));
        const black = Array.from({ length: 4 }, () => "000");
        const seen = Array.from({ length: 188 }, (_, x) => {
          const time = sync + (32 - 4 + x + 0.5) * DOT_NS;
          return `${at(traces.RED, time)}${at(traces.GREEN, time)}${at(traces.BLUE, time)}`;
        });
        expect(seen.join(" ")).toBe([...black, ...dots, ...black].join(" "));
      });
  });
});

describe("the bowling board's processor has the RAM in every cell", () => {
  /** Puts an address, R/W and data out as a W65C02S does, 30 and 25 ns after the edges of PHI2, one cycle each. */
  function cycles(steps: readonly { readonly address: number; readonly data?: number }[]) {
    const circuit = openBoard("bowling-board");
    const ram = circuit.chips.find(({ part }) => part.behaviour.memory);
    if (!ram) throw new Error("no memory");
    const { simulator, released } = powerUpBoard(circuit, { contents: new Map([[ram, PICTURE]]) });
    const read: number[] = [];
    const phi2 = netOf(circuit, "PHI2");
    const bits = (name: string, count: number) =>
      Array.from({ length: count }, (_, bit) => netOf(circuit, `${name}${bit}`).id);
    const [address, data, result] = [bits("PA", 15), bits("PD", 8), bits("PR", 8)];
    const put = (nets: typeof data, value: number, ns: number) =>
      nets.forEach((net, bit) => simulator.drive(net, fs(simulator.now + ns * 1e6), ((value >> bit) & 1) as 0 | 1));
    const one = (name: string, level: 0 | 1, ns: number) =>
      simulator.drive(netOf(circuit, name).id, fs(simulator.now + ns * 1e6), level);
    const goTo = (level: 0 | 1) => {
      while (simulator.valueOf(phi2.id) === level) simulator.run(fs(simulator.now + 1e6));
      while (simulator.valueOf(phi2.id) !== level) simulator.run(fs(simulator.now + 1e6));
    };
    simulator.run(released);
    one("SELECT#", 1, 0);
    one("RW#", 1, 0);
    simulator.run(fs(released + 3e9));
    for (const step of steps) {
      goTo(0);
      // What the cycle before read is still there as PHI2 falls.
      read.push(result.reduce((value, net, bit) => value | (simulator.valueOf(net) << bit), 0));
      put(address, step.address, 30);
      one("SELECT#", 0, 30);
      one("RW#", step.data === undefined ? 1 : 0, 30);
      goTo(1);
      if (step.data !== undefined) put(data, step.data, 25);
    }
    goTo(0);
    read.push(result.reduce((value, net, bit) => value | (simulator.valueOf(net) << bit), 0));
    const [memory] = simulator.memories;
    return {
      read: read.slice(1),
      strays: memory?.strayCount,
      writes: memory?.writeCount,
      contentions: simulator.contentions.count,
    };
  }

  test("it reads what the picture holds and what it wrote a cycle before, and writes no other cell", () => {
    const { read, ...rest } = cycles([
      { address: 5 },
      { address: 1234 },
      { address: 1234, data: 0xa5 },
      { address: 1234 },
      { address: 1235, data: 0x5a },
      { address: 1235 },
      { address: 5 },
    ]);
    expect([0, 1, 3, 5, 6].map((cycle) => read[cycle])).toEqual([PICTURE[5], PICTURE[1234], 0xa5, 0x5a, PICTURE[5]]);
    expect(rest).toEqual({ strays: 0, writes: 2, contentions: 0 });
  });
});
