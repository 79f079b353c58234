import { readFileSync } from "node:fs";
import { describe, expect, it, vi } from "vitest";
import { comparePictures, publishedRasters, toGrey } from "../../../src/raster/index.js";
import { simulateWithoutDelays } from "../../../src/simulation/compiled/index.js";
import { findLayout, readScript, simulateFrame } from "../../../src/simulation/index.js";
import { openBoard } from "../../examples/board.js";
import { buildCircuit, gate, known, oscillator } from "../../support/build-circuit.js";
import { smallBoard } from "../../support/small-board.js";

vi.setConfig({ testTimeout: 120_000 });

describe("the picture of a circuit without delays", () => {
  it.each(["tide-board", "tide-board-wide", "tide-board-wide-fast"])("is the test card, dot for dot: %s", (name) => {
    const { monitor, picture, card, layout, difference, doubts, steps, inRounds, careful } = simulateWithoutDelays(
      openBoard(name),
      { frames: 3 },
    );
    // 640x480 at 59.94 Hz as VESA DMT 0x04 has it.
    expect(monitor.locked && monitor.against.meets && monitor.against.raster.id).toBe("dmt-0x04");
    expect(layout).toMatchObject({ found: 1 });
    expect(card?.dots.some((dot) => dot === 1)).toBe(true);
    expect(picture && card && Buffer.compare(toGrey(picture), toGrey(card))).toBe(0);
    expect(difference).toMatchObject({ sameSize: true, count: 0 });
    expect(doubts).toEqual([]);
    expect(careful).toBe(0);
    expect(inRounds).toBeGreaterThan(0.9 * steps);
  });

  it("shows what the timed simulation shows", () => {
    const memory = Uint8Array.from({ length: 256 }, (_, address) => (address * 167 + 13) & 0xff);
    for (const inverted of [false, true]) {
      const circuit = smallBoard({ inverted });
      const [fast, timed] = [simulateWithoutDelays(circuit, { memory }), simulateFrame(circuit, { memory })];
      expect(fast.picture && timed.picture && comparePictures(fast.picture, timed.picture)).toEqual({
        sameSize: true,
        count: 0,
      });
      expect(fast.monitor.locked && fast.monitor.against).toEqual(timed.monitor.locked && timed.monitor.against);
    }
  });

  it("finds where each dot lies in memory, as the timed simulation does by marks", () => {
    const vga = publishedRasters.find(({ id }) => id === "dmt-0x04");
    for (const inverted of [false, true]) {
      const circuit = smallBoard({ inverted });
      const { layout } = simulateWithoutDelays(circuit);
      expect(layout).toEqual(vga && findLayout(circuit, vga));
    }
  });

  it("says why there is none where no vertical sync comes", () => {
    const { monitor, picture, layout } = simulateWithoutDelays(smallBoard({ noVerticalSync: true }));
    expect(monitor).toMatchObject({ locked: false, reason: "no vertical sync" });
    expect(picture).toBeUndefined();
    expect(layout).toMatchObject({ problem: expect.stringContaining("The vertical sync net stays high.") });
  });

  it("is handed over frame by frame", () => {
    const frames: number[] = [];
    simulateWithoutDelays(smallBoard(), { frames: 5, onFrame: (seen, frame) => seen.locked && frames.push(frame) });
    expect(frames).toEqual([0, 1, 2, 3, 4]);
  });

  it("cannot be had of a circuit that names no picture, or has no oscillator", () => {
    const circuit = buildCircuit({ chips: { X1: [oscillator(40), "OUT=A"], U1: [gate("A", "!A", 5), "A=A Y=Y"] } });
    expect(() => simulateWithoutDelays(circuit)).toThrow("the circuit does not say which nets are the picture");
    const still = buildCircuit({
      chips: { U1: [known("04"), "1A=low 1Y=H 2A=high 2Y=V"] },
      picture: { hsync: "H", vsync: "V", video: "V", size: [40, 30] },
    });
    expect(() => simulateWithoutDelays(still)).toThrow("the circuit has no oscillator");
  });
});

describe("a script at the inputs of a circuit without delays", () => {
  it("writes every byte where it means to, waiting for edges of the circuit", () => {
    const circuit = openBoard("tide-board");
    const text = readFileSync("examples/tide-board.script.yaml", "utf8");
    const { script } = readScript(text, "tide-board.script.yaml", circuit, () => undefined);
    if (!script) throw new Error("the script has mistakes");
    const seen = simulateWithoutDelays(circuit, { script, frames: 3 });
    expect(seen.script?.ended).toBeGreaterThan(0);
    expect(seen.script?.begun).toBe(seen.script?.bytes);
    expect(seen.script?.memories[0]).toMatchObject({ lost: [], strays: [] });
    // The first line of the gauge: 40 bytes of 0xff from 0x2840 on.
    expect(seen.memories[0]?.contents.slice(0x2840, 0x2868)).toEqual(new Uint8Array(40).fill(0xff));
    expect(seen.doubts).toEqual([]);
    expect(seen.inRounds).toBeGreaterThan(0.3 * seen.steps);
  });
});
