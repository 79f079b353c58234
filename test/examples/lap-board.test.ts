import { describe, expect, test } from "vitest";
import { netOf } from "../support/build-circuit.js";
import { shownDots } from "../support/shown-dots.js";
import { PICTURE, openBoard } from "./board.js";

/** 640x480 at 60 Hz (VESA DMT 0x04): 96 + 48 dots of 25.175 MHz from sync to picture, 2 + 33 lines; two to a stored dot. */
const place = {
  columns: 320,
  rows: 240,
  lineRepeat: 2,
  dotNs: 2000 / 25.175,
  dotsFromSync: (96 + 48) / 2,
  linesFromSync: 2 + 33,
};

describe("the lap board of a swimming bath, whose picture begins where a register says", () => {
  const circuit = openBoard("lap-board");
  const ram = circuit.chips.find(({ part }) => part.behaviour.memory)?.ref ?? "";

  test.each([
    { start: undefined, what: "with row 0 after its reset" },
    { start: 200, what: "with row 400 where it holds 200, and goes on with row 0 behind row 511" },
  ])("is 640x480 at 60 Hz and begins $what, every byte in its place, nothing beside it", ({ start = 0, what }) => {
    const seen = shownDots(circuit, place, new Map([[ram, PICTURE]]), (machine) => {
      if (what.includes("reset")) return;
      const drive = (net: string, level: 0 | 1, ns: number) =>
        machine.drive(netOf(circuit, net).id, machine.now + ns * 1e6 + 137, level);
      // PA15 is high for the register, whatever the other address lines are.
      for (let bit = 0; bit < 16; bit++) drive(`PA${bit}`, bit === 15 || bit % 3 === 0 ? 1 : 0, 10);
      for (let bit = 0; bit < 8; bit++) drive(`PD${bit}`, ((start >> bit) & 1) as 0 | 1, 10);
      drive("WR#", 0, 200);
      drive("WR#", 1, 400);
      machine.run(machine.now + 10_000e6);
    });
    expect(seen.monitor.locked && seen.monitor.against.meets && seen.monitor.against.raster.id).toBe("dmt-0x04");
    expect(seen.doubts).toEqual([]);
    expect(seen.lines).toHaveLength(480);
    seen.lines.forEach((line, index) => {
      const row = (2 * start + (index >> 1)) % 512;
      const bytes = [...PICTURE.subarray(row * 64, row * 64 + 40)];
      const dots = bytes.flatMap((byte) => [...byte.toString(2).padStart(8, "0")]).map((bit) => bit.repeat(3));
      expect(line).toBe(dots.join(" "));
    });
    expect(seen.light).toBe(0);
  });
});
