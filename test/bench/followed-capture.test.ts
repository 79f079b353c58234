import { describe, expect, it } from "vitest";
import { CaptureFollower } from "../../src/bench/capture/capture-follower.js";
import type { CyclicWave } from "../../src/bench/capture/frame-model.js";

/**
 * A line of 800 periods of a 25 MHz can, low for the first 96, and a frame of 525 of them, low in the first two: by
 * arithmetic, without the simulation.
 */
const PERIOD = 40e-9;
const LINE = 800;
const CYCLE = 525 * LINE;
const HSYNC: CyclicWave = {
  times: Float64Array.from({ length: 2 * 525 }, (_, edge) => (edge >> 1) * LINE + (edge % 2) * 96),
  first: 0,
  steady: 1,
};
const VSYNC: CyclicWave = { times: Float64Array.of(0, 2 * LINE), first: 0, steady: 1 };
const WAVES = new Map([
  ["HSYNC", HSYNC],
  ["VSYNC", VSYNC],
]);

interface Recorded {
  readonly frames: number;
  /** Where the capture begins in the frame, in periods. */
  readonly begin: number;
  /** By how much the instrument's clock is fast after so many seconds. */
  readonly fast: (seconds: number) => number;
  /** Seconds from sample to sample. */
  readonly sample: number;
  readonly isLeftOut?: (channel: string, frame: number, line: number) => boolean;
  /** Seconds at the begin in which HSYNC is not known. */
  readonly unknown?: number;
}

/** Edges as an instrument with samples and a clock of its own tells them, from a place in the frame on. */
function play(follower: CaptureFollower, { frames, begin, fast, sample, isLeftOut, unknown = 0 }: Recorded) {
  const edges = [...WAVES].flatMap(([channel, { times }]) =>
    Array.from({ length: frames + 1 }, (_, frame) =>
      Array.from(times, (time, edge) => ({
        channel,
        periods: time + frame * CYCLE - begin,
        level: (edge % 2) as 0 | 1,
        isOut: isLeftOut?.(channel, frame, edge >> 1) ?? false,
      })),
    ).flat(),
  );
  edges.sort((a, b) => a.periods - b.periods);
  let [own, board] = [0, 0];
  for (const channel of WAVES.keys()) {
    const before = edges.filter((edge) => edge.channel === channel && edge.periods <= 0).at(-1);
    follower.listen(channel, 0, channel === "HSYNC" && unknown > 0 ? undefined : (before?.level ?? 1));
  }
  let isKnown = unknown === 0;
  for (const { channel, periods, level, isOut } of edges) {
    if (periods <= 0 || isOut) continue;
    own += (periods * PERIOD - board) * (1 + fast(board));
    board = periods * PERIOD;
    const seconds = Math.ceil(own / sample) * sample;
    if (channel === "HSYNC" && !isKnown && seconds < unknown) continue;
    if (channel === "HSYNC") isKnown = true;
    follower.listen(channel, seconds, level);
  }
}

const TOLERANCES = { edge: 3, pulse: 4 };
const follower = (begin: number, scale = 1 / PERIOD) =>
  new CaptureFollower({ waves: WAVES, cycle: CYCLE, alignment: { offset: begin, scale }, tolerances: TOLERANCES });

describe("a capture of many frames", () => {
  it.each([
    ["steadily, by 60 ppm a second", (seconds: number) => 60e-6 * seconds],
    ["to and fro, by 40 ppm twice a second", (seconds: number) => 40e-6 * Math.sin(4 * Math.PI * seconds)],
  ])("is followed while its clock drifts %s", (_, fast) => {
    const followed = follower(1234);
    play(followed, { frames: 60, begin: 1234, fast, sample: 20e-9 });
    const channels = followed.end();
    expect(channels.get("HSYNC")?.departed).toBe(0);
    expect(channels.get("VSYNC")?.departed).toBe(0);
    expect(channels.get("HSYNC")?.matched).toBeGreaterThan(60 * 2 * 525 - 10);
    // Without being followed the capture would be off by far more than edges may be: 18 µs after a second of 60 ppm more.
    const [least, most] = followed.drift;
    expect(most - least).toBeGreaterThan(40e-6);
    expect(most - least).toBeLessThan(100e-6);
  });

  it("tells the one pulse that is missing in its fortieth frame", () => {
    const followed = follower(777);
    const isLeftOut = (channel: string, frame: number, line: number) =>
      channel === "HSYNC" && frame === 40 && line === 123;
    play(followed, { frames: 50, begin: 777, fast: (seconds) => -50e-6 * seconds, sample: 20e-9, isLeftOut });
    const hsync = followed.end().get("HSYNC");
    expect(hsync?.departed).toBe(2);
    expect(hsync?.first.map(({ kind, to }) => [kind, to])).toEqual([
      ["missing", 0],
      ["missing", 1],
    ]);
    expect(hsync?.first[0]?.time).toBe(40 * CYCLE + 123 * LINE);
  });

  it("says nothing of a channel before its level is known", () => {
    const followed = follower(0.5);
    play(followed, { frames: 4, begin: 0.5, fast: () => 0, sample: 20e-9, unknown: 0.03 });
    const [hsync, vsync] = ["HSYNC", "VSYNC"].map((name) => followed.end().get(name));
    expect([hsync?.departed, vsync?.departed]).toEqual([0, 0]);
    expect(hsync?.matched).toBeLessThan(2 * 525 * 5 - 0.03 / (LINE * PERIOD));
  });

  it("keeps no edges of what is done", () => {
    const followed = follower(0.5);
    play(followed, { frames: 40, begin: 0.5, fast: () => 0, sample: 20e-9 });
    const held = JSON.stringify([...followed.end().values()]).length;
    expect(held).toBeLessThan(2000);
  });
});
