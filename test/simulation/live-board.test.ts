import { describe, expect, it } from "vitest";
import { comparePictures, toGrey } from "../../src/raster/index.js";
import { LiveBoard, simulateFrame } from "../../src/simulation/index.js";
import { buildCircuit, gate, oscillator } from "../support/build-circuit.js";
import { smallBoard } from "../support/small-board.js";

const board = (inverted = false) => {
  const begun = LiveBoard.begin(smallBoard({ inverted }));
  if ("problem" in begun) throw new Error(begun.problem);
  return begun;
};

describe("a board that goes on for as long as somebody looks", () => {
  it.each([false, true])("shows what the timed simulation shows, frame after frame (inverted: %s)", (inverted) => {
    const live = board(inverted);
    const timed = simulateFrame(smallBoard({ inverted }));
    for (let frame = 0; frame < 3; frame++) {
      live.finishFrame();
      expect(timed.monitor.locked && comparePictures(live.picture, timed.monitor.picture)).toEqual({
        sameSize: true,
        count: 0,
      });
    }
    expect(live.machine.edgesInRounds).toBeGreaterThan(0);
  });

  it("shows a dot that is written where it was written, and leaves all others", () => {
    const live = board();
    live.finishFrame();
    const before = [...live.picture.dots];
    const { width, height } = live.layout ?? { width: 0, height: 0 };
    const across = live.picture.width / width;
    const values = new Int32Array(width * height).fill(-1);
    const [x, y] = [37, 11];
    const was = before[y * (live.picture.height / height) * live.picture.width + x * across];
    values[y * width + x] = was === 0 ? 1 : 0;
    live.write(values);
    live.finishFrame();
    const changed = [...live.picture.dots].flatMap((value, dot) => (value === before[dot] ? [] : [dot]));
    const places = changed.map((dot) => [
      Math.floor((dot % live.picture.width) / across),
      Math.floor(dot / live.picture.width / (live.picture.height / height)),
    ]);
    expect(changed.length).toBeGreaterThan(0);
    expect(new Set(places.map((place) => place.join()))).toEqual(new Set([`${x},${y}`]));
  });

  it("paints the same picture half dot by half dot as at full speed", () => {
    const [slow, fast] = [board(), board()];
    fast.finishFrame();
    slow.picture.dots.fill(0);
    const { raster } = slow;
    const halfDots = 2 * raster.h.total * raster.v.total;
    for (let step = 0; step < halfDots; step++) slow.stepHalfDot();
    expect(slow.now).toBeGreaterThan(fast.now - fast.frameFs / 1000);
    expect(toGrey(slow.picture)).toEqual(toGrey(fast.picture));
  });

  it("says where the beam is: a line further on after the half dots of a line", () => {
    const live = board();
    const { total } = live.raster.h;
    const beams = Array.from({ length: 4 }, () => {
      for (let step = 0; step < 2 * total; step++) live.stepHalfDot();
      return live.beam;
    });
    expect(beams.map(({ line }) => line - (beams[0]?.line ?? 0))).toEqual([0, 1, 2, 3]);
    for (const { dot } of beams) {
      expect(dot).toBeGreaterThanOrEqual(0);
      expect(dot).toBeLessThan(total);
      expect(Math.abs(dot - (beams[0]?.dot ?? 0))).toBeLessThanOrEqual(1);
    }
  });

  it("says what is missing where it cannot show a picture", () => {
    const chips = { X1: [oscillator(40), "OUT=C"], U1: [gate("A", "!A", 5), "A=C Y=V"] } as const;
    expect(LiveBoard.begin(buildCircuit({ chips }))).toEqual({ problem: "The circuit file names no picture." });
  });
});
