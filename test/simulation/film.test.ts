import { describe, expect, it, vi } from "vitest";
import { type NoPicture, type Picture, type Shown, comparePictures, reduce } from "../../src/raster/index.js";
import { Tape, simulateFrame, twoLevels } from "../../src/simulation/index.js";
import type { NetId } from "../../src/circuit/circuit.js";
import { smallBoard } from "../support/small-board.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

type Seen = NoPicture | Shown;

/** A picture in which one byte column is turned over; columns from 5 on are outside of it. */
function turned(picture: Picture, column: number): Picture {
  const dots = picture.dots.map((dot, index) => ((index % picture.width) >> 3 === column ? 1 - dot : dot));
  return { ...picture, dots };
}

/** The 40 by 30 dots that a monitor shows. */
function dotsOf(seen: Seen): Picture {
  if (!seen.locked) throw new Error(`${seen.reason}: ${seen.detail}`);
  expect(seen.findings).toEqual([]);
  return reduce(seen.picture, 16, 16).picture;
}

const memory = Uint8Array.from({ length: 256 }, (_, address) => (address * 167 + 13) & 0xff);

describe("one frame after the other", () => {
  it("shows each frame once, in its order, none left out", () => {
    const frames: [number, Picture][] = [];
    const { picture } = simulateFrame(smallBoard({ moving: true }), {
      frames: 11,
      memory,
      onFrame: (seen, frame) => frames.push([frame, dotsOf(seen)]),
    });
    expect(frames.map(([frame]) => frame)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    expect(picture?.dots).toEqual(frames.at(-1)?.[1].dots);

    const { picture: still } = simulateFrame(smallBoard(), { frames: 1, memory });
    if (!still) throw new Error("the board shows no picture");
    const columns = frames.map(([, shown]) =>
      [0, 1, 2, 3, 4, 5].filter((column) => {
        const difference = comparePictures(shown, turned(still, column));
        return difference.sameSize && difference.count === 0;
      }),
    );
    // Column 5 stands for none. The registers begin anywhere, but from one frame to the next they count by one.
    const start = columns.findIndex(([column]) => column === 0);
    expect(start).toBeGreaterThanOrEqual(0);
    expect(columns).toEqual(
      columns.map((_, frame) => {
        const count = (((frame - start) % 8) + 8) % 8;
        return [Math.min(count, 5)];
      }),
    );
  });

  it("shows what the last frame of a longer record shows", () => {
    const options = { frames: 3, memory, delays: { seed: 5, spread: "even" }, seed: 5 } as const;
    const shown: Seen[] = [];
    const filmed = simulateFrame(smallBoard(), { ...options, onFrame: (seen) => shown.push(seen) });
    const plain = simulateFrame(smallBoard(), options);
    expect(shown).toHaveLength(3);
    expect(filmed.picture).toEqual(plain.picture);
    const [last] = shown.slice(-1);
    expect(last?.locked && plain.monitor.locked && comparePictures(last.picture, plain.monitor.picture)).toEqual({
      sameSize: true,
      count: 0,
    });
    expect(filmed.unknownVideoFs).toBeCloseTo(plain.unknownVideoFs, 0);
  });

  it("ends without any where no vertical sync comes", () => {
    const shown: Seen[] = [];
    const { monitor } = simulateFrame(smallBoard({ noVerticalSync: true }), {
      frames: 2,
      memory,
      onFrame: (seen) => shown.push(seen),
    });
    expect(shown).toEqual([]);
    expect(monitor).toMatchObject({ locked: false, reason: "no vertical sync" });
  });
});

describe("a board with both syncs on one net", () => {
  it("is locked to and shown, also frame by frame", () => {
    const { picture: separate } = simulateFrame(smallBoard(), { frames: 1, memory });
    for (const composite of ["or", "exclusive or"] as const) {
      const shown: Seen[] = [];
      const { monitor, picture } = simulateFrame(smallBoard({ composite }), {
        frames: 3,
        memory,
        onFrame: (seen) => shown.push(seen),
      });
      expect(monitor.locked && monitor.against.meets).toBe(true);
      expect(monitor.locked && monitor.lock.composite?.vertical).toBe(composite === "or" ? "block" : "displaced");
      expect(monitor.findings.map(({ code }) => code)).toEqual(["no lines in vertical sync"]);
      expect(picture?.dots).toEqual(separate?.dots);
      expect(shown.map(({ locked }) => locked)).toEqual([true, true, true]);
      const plain = simulateFrame(smallBoard({ composite }), { frames: 2, memory });
      expect(plain.picture?.dots).toEqual(separate?.dots);
    }
  });
});

describe("a record that forgets", () => {
  const values = [0, 2, 1, 0, 3, 1, 1, 0, 2, 2, 1, 0] as const;

  it("says the same of the time that it keeps, and for how long the net was unknown in all", () => {
    for (let time = 0; time <= values.length; time += 0.5) {
      const [whole, cut] = [0, 1].map(() => {
        const tape = new Tape(0 as NetId, 0, values[0]);
        values.forEach((value, at) => {
          if (at > 0 && value !== values[at - 1]) tape.add(at, value);
        });
        return tape;
      }) as [Tape, Tape];
      cut.forget(time / 2);
      cut.forget(time);
      cut.forget(time - 1);
      expect(cut.from).toBe(time);
      for (let at = time; at < values.length; at += 0.5) expect(cut.valueAt(at)).toBe(whole.valueAt(at));
      expect(cut.count).toBe(whole.timesFs.filter((at) => at > time).length);
      const until = values.length;
      expect(twoLevels(cut, until).unknownFs).toBe(twoLevels(whole, until).unknownFs);
    }
  });
});
