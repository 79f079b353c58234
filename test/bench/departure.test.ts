import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { Circuit } from "../../src/circuit/circuit.js";
import {
  type CaptureListener,
  DumpMeter,
  FirstEdges,
  TableMeter,
  alignBegin,
  comparedSeconds,
  departureLines,
  departureOf,
  followerOf,
} from "../../src/bench/index.js";
import { readCircuit } from "../../src/circuit/index.js";
import { fs } from "../../src/quantity/index.js";
import { DumpReader } from "../../src/simulation/dump/reader.js";
import { Simulator, chooseDelays, compileTables } from "../../src/simulation/index.js";
import { randomNumbers } from "../support/random-bits.js";
import { findRaster } from "../../src/raster/index.js";
import { type ChaserWires, chaser } from "./chaser.js";

interface Recorded {
  /** The instrument calls so many seconds what is one. */
  readonly clock?: number;
  readonly nets: readonly string[];
  /** Microseconds, of the board's time. */
  readonly from: number;
  readonly long: number;
  /** Nanoseconds. */
  readonly sample: number;
  /** One spike of a sample on each net. */
  readonly glitches?: boolean;
}

/** A value change dump of the timed simulation as an instrument takes it, whose samples shake by up to a half. */
function dumpOf(circuit: Circuit, { clock = 1, nets, from, long, sample, glitches = false }: Recorded): string {
  const tables = compileTables(circuit);
  const resets = new Map(circuit.nets.filter(({ name }) => name === "RESET#").map(({ id }) => [id, 1 as const]));
  const simulator = new Simulator(tables, chooseDelays(tables, "typical"), { powerUp: { seed: 2 }, inputs: resets });
  const waves = nets.map((name) => {
    const id = circuit.nets.find((net) => net.name === name)?.id;
    if (id === undefined) throw new Error(`no net ${name}`);
    const wave: { readonly time: number; readonly level: string }[] = [];
    simulator.observe(id, (time, word) => wave.push({ time: Number(time) / 1e6, level: "01xz"[word & 3] ?? "x" }));
    return wave;
  });
  simulator.run(fs((from + long) * 1e9));
  const numbers = randomNumbers(11);
  const at = waves.map(() => 0);
  const seen = waves.map(() => "x");
  const lines = [
    "$timescale 1 ns $end",
    ...nets.map((name, index) => `$var wire 1 ${index} ${name} $end`),
    "$enddefinitions $end",
  ];
  const samples = Math.floor((long * 1000) / sample);
  for (let taken = 0; taken < samples; taken++) {
    const time = from * 1000 + sample * (taken + numbers(1000) / 1000 - 0.5);
    const changes: string[] = [];
    waves.forEach((wave, net) => {
      while ((wave[at[net] ?? 0]?.time ?? Infinity) <= time) at[net] = (at[net] ?? 0) + 1;
      const level = wave[(at[net] ?? 0) - 1]?.level ?? "x";
      const isSpike = glitches && taken === 4000 + 500 * net;
      const read = isSpike ? (level === "0" ? "1" : "0") : level;
      if (read !== seen[net]) changes.push(`${read}${net}`);
      seen[net] = read;
    });
    if (changes.length > 0) lines.push(`#${Math.round(taken * sample * clock)}`, ...changes);
  }
  return lines.join("\n");
}

type Scenario = Omit<Parameters<typeof alignBegin>[0], "circuit">;
const NOMINAL: Scenario = { edgeFs: 5e8, frameEdges: 4000 };

/** Tells a listener what happens in a capture's text. */
function hear(text: string, listen: CaptureListener) {
  const meter = text.startsWith("$") ? new DumpMeter(listen) : new TableMeter(undefined, listen);
  if (meter instanceof DumpMeter) {
    const reader = new DumpReader(meter);
    reader.push(text);
    if (reader.end()) throw new Error(reader.end()?.what);
  } else {
    meter.push(text);
    meter.end();
    if (meter.problem !== undefined) throw new Error(meter.problem);
  }
  return meter;
}

/** Of a capture's text, all of it held against a circuit without faults. */
function departureIn(circuit: Circuit, text: string, scenario: Scenario = NOMINAL) {
  const first = new FirstEdges(comparedSeconds(scenario));
  const meter = hear(text, first.listen);
  const nameOf = (net: number) => circuit.nets[net]?.name ?? "";
  const channels = meter.channels.map((channel) => {
    const net = circuit.nets.find(({ name }) => name === channel.name)?.id ?? 0;
    return { channel, net, pin: 0, by: "name" as const };
  });
  const edges = { channels: first.channels, sample: first.nearest };
  const begin = alignBegin({ circuit, ...scenario }, { channels, unknown: [] }, edges);
  if ("problem" in begin) return { nets: [], lines: departureLines(begin, nameOf) };
  const follower = followerOf(begin);
  hear(text, follower.listen);
  const found = departureOf(begin, follower);
  return {
    nets: found.nets.map((one) => ({ ...one, name: nameOf(one.net) })),
    drift: found.drift ?? [],
    seconds: found.compared,
    lines: departureLines(found, nameOf),
  };
}

const NETS = ["HALF", "Q0", "Q1", "Q2", "Q3", "BOTH"];

describe("where a capture departs from the board without faults", () => {
  it.each([0.99, 1, 1.01])("departs nowhere on a good board, whose time is taken %f times as long", (clock) => {
    const text = dumpOf(chaser(), { clock, nets: NETS, from: 137, long: 900, sample: 60, glitches: true });
    const { nets, lines } = departureIn(chaser(), text);
    expect(nets.map(({ name, share, first }) => [name, share, first])).toEqual(
      [...NETS].map((name) => [name, 1, undefined]),
    );
    expect(lines[0]).toBe("Edge by edge it goes with the board without faults.");
  });

  it.each<[string, ChaserWires, string]>([
    ["a gate on the bit above", { secondAnd: "Q2" }, "BOTH"],
    ["a gate whose input is held high", { firstAnd: "high" }, "BOTH"],
  ])("names the net behind %s, and no other", (_, wires, net) => {
    const text = dumpOf(chaser(wires), { clock: 1.008, nets: NETS, from: 55, long: 900, sample: 60, glitches: true });
    const { nets } = departureIn(chaser(), text);
    expect(nets[0]?.name).toBe(net);
    expect(nets[0]?.share).toBeLessThan(0.9);
    expect(nets.filter(({ first }) => first)).toHaveLength(1);
  });

  it("says plainly where nothing goes with the board", () => {
    const numbers = randomNumbers(3);
    const lines = Array.from({ length: 3000 }, (_, line) => `${line * 0.7},${numbers(2)},${numbers(2)}`);
    const { lines: said } = departureIn(chaser(), ["Time [us],Q2,Q3", ...lines].join("\n"));
    expect(said).toEqual(["Not compared edge by edge: nowhere in the frame does it go with the board without faults."]);
  });

  // Shares no code with the simulation: a megahertz, halved and counted to sixteen.
  it("finds the one rise that a counter leaves out", () => {
    const level = (microseconds: number, bit: number) => Math.floor(microseconds / 2 ** (bit + 1)) % 2;
    const lines = Array.from({ length: 8000 }, (_, sample) => {
      const time = 41.3 + 0.1 * sample * 0.997;
      const isOut = time >= 324 && time < 328;
      return [0.1 * sample, ...[0, 1, 2, 3].map((bit) => (isOut && bit === 1 ? 0 : level(time, bit)))].join(",");
    });
    const { nets } = departureIn(chaser(), [`time [us],Q0,Q1,Q2,Q3`, ...lines].join("\n"));
    expect(nets.filter(({ first }) => first).map(({ name }) => name)).toEqual(["Q1"]);
    expect(nets[0]?.first).toMatchObject({ kind: "missing", to: 1 });
    // Q1 is high in the second half of each eight microseconds of the board.
    expect((nets[0]?.first?.seconds ?? 0) * 1e6).toBeCloseTo((324 - 41.3) / 0.997, 0);
  });

  // 640x480 at 60 Hz (VESA DMT 0x04): 800 dots of 1/25.175 MHz, sync low for 96; 525 lines, sync low for 2.
  it("says in which line and at which dot, as the published raster counts", () => {
    const lookup = findRaster("640x480@60");
    if (!lookup.found) throw new Error("no raster");
    const scenario = { edgeFs: 1e15 / 25.175e6 / 2, frameEdges: 2 * 420_000, raster: lookup.raster };
    const text = readFileSync(new URL("../../examples/tide-board.circuit.yaml", import.meta.url), "utf8");
    const { circuit: board } = readCircuit(text, "tide-board.circuit.yaml");
    if (!board) throw new Error("the board cannot be read");
    /** Changes in dots; one sync pulse of the first whole frame is left out. */
    const changes = Array.from({ length: 2 * 525 }, (_, line) => {
      const out = line === 525 + 123;
      const vertical = line % 525 < 2 ? 0 : 1;
      return [
        [line * 800, out ? 1 : 0, vertical],
        [line * 800 + 96, 1, vertical],
        // The board's columns begin where the picture does, 144 dots after the leading edge, and its lines with them.
        [line * 800 + 144, 1, (line + 1) % 525 < 2 ? 0 : 1],
      ] as const;
    }).flat();
    // It begins in the middle of a frame, 0.7 % fast, with samples of 20 ns.
    const begin = 300 * 800 + 333;
    const rows = changes
      .filter(([dots]) => dots > begin)
      .map(([dots, h, v]) => `${(Math.ceil((((dots - begin) / 25.175) * 1.007) / 0.02) * 0.02).toFixed(2)},${h},${v}`);
    const { nets, lines } = departureIn(board, ["time [us],HSYNC,VSYNC", "0,1,1", ...rows].join("\n"), scenario);
    expect(nets.map(({ name, first }) => [name, first?.kind])).toEqual([
      ["HSYNC", "missing"],
      ["VSYNC", undefined],
    ]);
    expect(nets[0]?.first?.place?.line).toBe(123);
    expect(nets[0]?.first?.place?.dot).toBe(0);
    expect(lines[0]).toMatch(/^HSYNC departs first: no fall where one should be in line 123 at dot 0, /);
  });
});
