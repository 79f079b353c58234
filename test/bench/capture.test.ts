import { describe, expect, it } from "vitest";
import {
  DumpMeter,
  Suspicion,
  TableMeter,
  compareCapture,
  faultBenchOf,
  simulateEdits,
} from "../../src/bench/index.js";
import { fs } from "../../src/quantity/index.js";
import { Simulator, chooseDelays, compileTables } from "../../src/simulation/index.js";
import { DumpReader } from "../../src/simulation/dump/reader.js";
import { randomNumbers } from "../support/random-bits.js";
import { type ChaserWires, chaser } from "./chaser.js";

const bench = faultBenchOf(chaser());
const signatures = simulateEdits(
  bench,
  bench.faults.map(({ edit }) => edit),
);
const suspicion = new Suspicion(bench, signatures);

/** Faults of the likeliest suspects, given what channels of a capture did. */
function suspects(channels: Parameters<typeof compareCapture>[1], told = new Map<string, string>()) {
  const compared = compareCapture(bench, channels, told);
  const observations = compared.channels.flatMap(({ observation }) => observation ?? []);
  const ranked = suspicion.ranked(suspicion.weigh(observations)).slice(0, 3);
  return { compared, ids: ranked.flatMap(({ faults }) => faults.map(({ text }) => text)) };
}

interface TableOptions {
  readonly clockError: number;
  readonly clock: number;
  /** A net that is low all the time. */
  readonly stuck?: string;
  /** The gate's output is its first input. */
  readonly follows?: "Q0";
}

/**
 * A table of samples that shares no code with the simulation: a megahertz, halved and counted, seen by an instrument with a
 * clock of its own whose samples shake. `clock` says how often the counter counts for a cycle of the half megahertz.
 */
function table({ clockError, clock, stuck, follows }: TableOptions): string {
  const numbers = randomNumbers(7);
  const nets: Record<string, (half: number) => number> = {
    Q2: (half) => Math.floor((half * clock) / 4) % 2,
    HALF: (half) => (half % 1 < 0.5 ? 1 : 0),
    Q0: (half) => Math.floor(half * clock) % 2,
    BOTH: (half) => (Math.floor(half * clock) % (follows === "Q0" ? 2 : 4) === (follows === "Q0" ? 1 : 3) ? 1 : 0),
  };
  const start = numbers(10_000) / 10;
  const lines = Array.from({ length: 20_000 }, (_, sample) => {
    const microseconds = start + 0.06 * sample * (1 + clockError) + (numbers(100) - 50) / 10_000;
    const cells = Object.entries(nets).map(([name, level]) => (name === stuck ? 0 : level(microseconds / 2)));
    return [cells[0], (60 * sample).toFixed(0), ...cells.slice(1)].join(";");
  });
  return [`D7;Time [ns];${Object.keys(nets).slice(1).join(";")}`, ...lines].join("\n");
}

function read(text: string) {
  const meter = new TableMeter();
  for (let from = 0; from < text.length; from += 777) meter.push(text.slice(from, from + 777));
  meter.end();
  expect(meter.problem).toBeUndefined();
  return meter.channels;
}

const told = new Map([["D7", "Q2"]]);

describe("diagnosis by a capture", () => {
  it("takes a clock error out and suspects nothing in particular where all is right", () => {
    const { compared } = suspects(read(table({ clockError: 400e-6, clock: 1 })), told);
    expect(compared.channels).toHaveLength(4);
    expect(compared.clockError ?? 0).toBeCloseTo(400e-6, 4);
    for (const { observation, net } of compared.channels) {
      const usual = bench.good.readings.at(net)?.[0].hertz ?? 0;
      expect(observation?.kind === "frequency" ? observation.hertz / usual : 0).toBeCloseTo(1, 2);
    }
  });

  it("takes a channel without a net's name for the net that alone does what it does", () => {
    // Q2 runs at 62.5 kHz, half of the time high, and no other net of the board does.
    const { compared } = suspects(read(table({ clockError: 400e-6, clock: 1 })));
    expect(compared.unknown).toEqual([]);
    const guessed = compared.channels.filter(({ by }) => by === "behaviour");
    expect(guessed.map(({ channel, net }) => [channel.name, bench.board.nodeNames[net]])).toEqual([["D7", "Q2"]]);
    // HALF and its complement do the same as far as rate and share of high tell.
    const renamed = read(table({ clockError: 400e-6, clock: 1 })).map((channel) =>
      channel.name === "HALF" ? { ...channel, name: "D1" } : channel,
    );
    expect(suspects(renamed).compared.unknown).toEqual(["D1"]);
  });

  it("says so where no single fault explains what was recorded", () => {
    // The counter on the oscillator itself: a wire to another chip altogether is not among the single faults.
    const { compared } = suspects(read(table({ clockError: -900e-6, clock: 2 })), told);
    const observations = compared.channels.flatMap(({ observation }) => observation ?? []);
    expect(suspicion.isExplained(observations)).toBe(false);
  });

  it("finds an open input by what comes out behind it", () => {
    const { compared, ids } = suspects(read(table({ clockError: -900e-6, clock: 1, follows: "Q0" })), told);
    expect(suspicion.isExplained(compared.channels.flatMap(({ observation }) => observation ?? []))).toBe(true);
    expect(ids).toContain("The wire from U2.13 QB to U3.2 1B (Q1) is missing.");
  });

  it("finds a gate's output that is held low", () => {
    const { ids } = suspects(read(table({ clockError: 100e-6, clock: 1, stuck: "BOTH" })), told);
    expect(ids.join("\n")).toContain("U3");
  });

  it.each<[string, ChaserWires, RegExp]>([
    ["a counter that is not enabled", { enable: "low" }, /ENP|CLK|U2/],
    ["a gate on the bit above", { secondAnd: "Q2" }, /U3\.[12]/],
  ])("finds %s in a dump of the timed simulation", (_, wires, expected) => {
    const circuit = chaser(wires);
    const tables = compileTables(circuit);
    const simulator = new Simulator(tables, chooseDelays(tables, "typical"), { powerUp: { seed: 2 } });
    const names = ["HALF", "Q0", "Q1", "Q2", "BOTH"];
    // The instrument calls 1001 ns what is a microsecond.
    const lines = [
      "$timescale 1 ns $end",
      ...names.map((name, index) => `$var wire 1 ${index} ${name} $end`),
      "$enddefinitions $end",
    ];
    const changes: { readonly time: number; readonly text: string }[] = [];
    names.forEach((name, index) => {
      const id = circuit.nets.find((net) => net.name === name)?.id;
      if (id === undefined) throw new Error(`no net ${name}`);
      simulator.observe(id, (time, word) =>
        changes.push({ time: Math.round((Number(time) / 1e6) * 1.001), text: `${"01xz"[word & 3]}${index}` }),
      );
    });
    simulator.run(fs(1e12));
    for (const { time, text } of changes) lines.push(`#${time}`, text);
    const meter = new DumpMeter();
    const reader = new DumpReader(meter);
    reader.push(lines.join("\n"));
    expect(reader.end()).toBeUndefined();
    const { compared, ids } = suspects(meter.channels);
    expect(compared.clockError ?? 0).toBeCloseTo(-0.001, 4);
    expect(ids.join("\n")).toMatch(expected);
  });

  it("says what is wrong with a table", () => {
    const problem = (text: string) => {
      const meter = new TableMeter();
      meter.push(text);
      meter.end();
      return meter.problem;
    };
    expect(problem("A,B\n0,1\n")).toBe("line 1: no column is named time, and no sample period was given");
    expect(problem("time,B\n0,1\nx,1\n")).toBe("line 3: x is no time");
    expect(problem("time,B\n2,1\n1,1\n")).toBe("line 3: its time is before that of the line above");
    expect(problem("time,B\n2\n")).toBe("line 2: has 1 columns; 2 were expected");
    expect(problem("")).toBe("has no line with names of channels");
  });
});
