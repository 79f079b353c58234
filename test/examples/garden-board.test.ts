import { beforeAll, describe, expect, test } from "vitest";
import { type ShownDots, shownDots } from "../support/shown-dots.js";
import { PICTURE, openBoard } from "./board.js";

/** CTA-861 VIC 23, 312 lines: here 54 cells of 8 dots of 6.75 MHz, 4 of them sync and 4 back porch. */
const place = {
  columns: 360,
  rows: 288,
  lineRepeat: 1,
  dotNs: 1000 / 6.75,
  dotsFromSync: 8 * (4 + 4),
  linesFromSync: 3 + 19,
};

describe("the garden board, composite for a television", () => {
  let seen: ShownDots;
  beforeAll(() => {
    const circuit = openBoard("garden-board");
    const ram = circuit.chips.find(({ part }) => part.behaviour.memory);
    seen = shownDots(circuit, place, new Map([[ram?.ref ?? "", PICTURE]]));
  }, 60_000);

  test("has 312 lines of 64 us to a monitor, both syncs on one net", () => {
    const { monitor } = seen;
    expect(monitor.locked && monitor.against.meets && monitor.against.raster.id).toBe("vic-23");
    expect(monitor.locked && monitor.lock.composite).toMatchObject({ vertical: "whole lines", broadPulses: 3 });
    expect(seen.doubts).toEqual([]);
  });

  test("has a line sync and a gap between broad pulses as wide as ITU-R BT.470-5 has them: 4.5 to 4.9 us", () => {
    const { monitor } = seen;
    const { lineSync = 0, serration = 0 } = (monitor.locked && monitor.lock.composite) || {};
    for (const time of [lineSync, serration]) {
      expect(time).toBeGreaterThan(4.5e9);
      expect(time).toBeLessThan(4.9e9);
    }
  });

  test("shows every byte in its place, bit 7 first, and nothing beside the picture", () => {
    expect(seen.lines).toHaveLength(288);
    seen.lines.forEach((line, row) => {
      const bytes = [...PICTURE.subarray(row * 64, row * 64 + 45)];
      expect(line).toBe(bytes.flatMap((byte) => [...byte.toString(2).padStart(8, "0")]).join(" "));
    });
    expect(seen.light).toBe(0);
  });
});
