import { describe, expect, it, vi } from "vitest";
import type { Circuit } from "../../../src/circuit/circuit.js";
import { comparePictures } from "../../../src/raster/index.js";
import { BeamScreen, type PowerUpMachineOptions, powerUpMachine } from "../../../src/simulation/compiled/index.js";
import { simulateFrame } from "../../../src/simulation/index.js";
import { openBoard } from "../../examples/board.js";
import { chipOf, netOf } from "../../support/build-circuit.js";
import { smallBoard } from "../../support/small-board.js";

vi.setConfig({ testTimeout: 120_000 });

const memory = Uint8Array.from({ length: 256 }, (_, address) => (address * 167 + 13) & 0xff);

const SAME = { sameSize: true, count: 0 };

/** A board and a monitor on it. */
function watched(circuit: Circuit, options: PowerUpMachineOptions) {
  const { picture } = circuit;
  if (!picture) throw new Error("no picture");
  const { machine, raster } = powerUpMachine(circuit, options);
  const pixel = raster ? raster.h.active / picture.width : 1;
  const screen = new BeamScreen(machine, picture, { ...(raster && { raster }), pixel });
  const dotsOfFrame = () => {
    const seen = screen.runFrame();
    return seen.locked ? seen.picture.dots : new Uint16Array();
  };
  return { machine, screen, dotsOfFrame };
}

const ram = (circuit: Circuit) => {
  const chip = circuit.chips.find(({ part }) => part.behaviour.memory);
  if (!chip) throw new Error("no memory");
  return chip;
};

describe("a monitor that watches a compiled circuit", () => {
  it("shows frame after frame what the timed simulation shows, from two sync nets or from one", () => {
    const timed = simulateFrame(smallBoard(), { memory, frames: 1 });
    expect(timed.monitor.locked).toBe(true);
    for (const composite of [undefined, "or", "exclusive or"] as const) {
      const { screen } = watched(smallBoard({ ...(composite && { composite }) }), { memory });
      for (let frame = 0; frame < 3; frame++) {
        const seen = screen.runFrame();
        expect(seen.locked && seen.against.raster.id).toBe("dmt-0x04");
        expect(seen.locked && timed.monitor.locked && comparePictures(seen.picture, timed.monitor.picture)).toEqual(
          SAME,
        );
      }
    }
  });

  it("shows at once what is put into the memory, and nothing else changes", () => {
    const circuit = smallBoard();
    const { machine, dotsOfFrame } = watched(circuit, { memory });
    dotsOfFrame();
    const before = dotsOfFrame();
    machine.load(ram(circuit), Uint8Array.of(~(memory[0] ?? 0)));
    const after = dotsOfFrame();
    // The first byte is eight dots of 16 by 16 dots of the raster, which are turned over.
    const turned = [...after].flatMap((dot, index) => (dot === before[index] ? [] : [index]));
    expect(turned).toHaveLength(8 * 16 * 16);
    expect(turned.every((index) => index % 640 < 128 && index / 640 < 16)).toBe(true);
  });

  it("draws as far as the beam has come", () => {
    const circuit = smallBoard();
    const { machine, screen, dotsOfFrame } = watched(circuit, { memory: new Uint8Array(256).fill(0xff) });
    dotsOfFrame();
    const seen = screen.runFrame();
    expect(seen.locked && seen.picture.dots.every((dot) => dot === 1)).toBe(true);
    machine.load(ram(circuit), new Uint8Array(256));
    // To the middle of line 135 of the frame. 2 lines of vertical sync and 33 of back porch come before the picture.
    const begin = seen.locked ? (seen.lock.v.leadingFs.at(-1) ?? 0) : 0;
    const dotFs = 1e15 / 25.175e6;
    const { now } = machine;
    screen.runFor((800 * 135 + 400) * dotFs - (now - begin));
    const dots = screen.pictureSoFar()?.dots ?? new Uint16Array();
    const firstLit = dots.indexOf(1);
    expect(Math.floor(firstLit / 640)).toBe(100);
    expect(dots.subarray(firstLit).every((one) => one === 1)).toBe(true);
    // The frame ends where it would have without the step.
    expect(dotsOfFrame().every((one) => one === 0)).toBe(true);
    expect((machine.now - now) / dotFs / 800).toBeCloseTo(525, 3);
  });

  it("goes on dot by dot while nets are read, and from what was saved", () => {
    const circuit = openBoard("tide-board");
    const { machine, screen, dotsOfFrame } = watched(circuit, {});
    dotsOfFrame();
    const state = machine.save();
    const sync = netOf(circuit, "HSYNC").id;
    const levels = () =>
      Array.from({ length: 1600 }, () => {
        screen.runFor(1e15 / 25.175e6);
        return machine.valueOf(sync);
      });
    const first = levels();
    // Two lines of 800 dots, with a negative pulse of 96 in each.
    expect(first.filter((level) => level === 0)).toHaveLength(192);
    const dots = dotsOfFrame();
    machine.restore(state);
    screen.restart();
    expect(levels()).toEqual(first);
    expect(dotsOfFrame().every((dot, index) => dot === dots[index])).toBe(true);
  });

  it("looks at everything anew when it is told to, and when the syncs stop and come again", () => {
    const circuit = openBoard("tide-board");
    const { machine, screen } = watched(circuit, { memory: new Uint8Array(32768).fill(0x3c) });
    screen.runFrame();
    expect(screen.runFrame().locked).toBe(true);
    expect(screen.lookAnew()).toMatchObject({ locked: true, findings: [] });
    const after = (level: 0 | 1) => {
      machine.drive(netOf(circuit, "RESET#").id, machine.now, level);
      return [1, 2, 3, 4].map(() => screen.runFrame().locked).at(-1);
    };
    expect(after(0)).toBe(false);
    expect(after(1)).toBe(true);
    expect(machine.doubts).toEqual([]);
    expect(machine.writesTo(chipOf(circuit, "U25"))).toBe(0);
  });
});
