import { describe, expect, it, vi } from "vitest";
import { packRows, publishedRasters, toGrey } from "../../src/raster/index.js";
import { findLayout, layOut, simulateFrame } from "../../src/simulation/index.js";
import { buildCircuit, gate, oscillator } from "../support/build-circuit.js";
import { smallBoard } from "../support/small-board.js";
import { openBoard } from "../examples/board.js";

/** Whole frames take seconds where the machine is busy. */
vi.setConfig({ testTimeout: 120_000 });

const vga = publishedRasters.find(({ id }) => id === "dmt-0x04");

describe("one frame of a circuit", () => {
  it("is what the memory holds, as a monitor shows it", () => {
    const memory = Uint8Array.from({ length: 256 }, (_, address) => (address * 167 + 13) & 0xff);
    const { monitor, picture, repeats } = simulateFrame(smallBoard(), { memory });
    expect(monitor.locked && monitor.against.meets && monitor.findings).toEqual([]);
    expect(monitor.locked && monitor.against.raster.id).toBe("dmt-0x04");
    expect(repeats?.unequal).toBe(0);
    const rows = Array.from({ length: 30 }, (_, row) => memory.subarray(8 * row, 8 * row + 5));
    expect(picture && packRows(picture, { leftmost: "least significant" })).toEqual(
      Uint8Array.from(rows.flatMap((row) => [...row])),
    );
  });

  it("shows the test card where no contents are given, though nothing says how the memory is wired", () => {
    for (const inverted of [false, true]) {
      const { card, picture, layout } = simulateFrame(smallBoard({ inverted }), { frames: 1 });
      expect(layout).toMatchObject({ width: 40, height: 30, found: 1 });
      expect(card?.dots.some((dot) => dot === 1)).toBe(true);
      expect(picture?.dots).toEqual(card?.dots);
    }
  });

  it("finds which bit of which byte each dot shows", () => {
    const circuit = smallBoard();
    const layout = vga && findLayout(circuit, vga);
    if (!layout || "problem" in layout) throw new Error(layout?.problem);
    const [places] = layout.nets;
    for (const [x, y] of [
      [0, 0],
      [7, 0],
      [8, 0],
      [39, 29],
      [13, 5],
    ] as const) {
      const dot = y * 40 + x;
      expect([places?.address[dot], places?.bit[dot], places?.inverted[dot]]).toEqual([8 * y + (x >> 3), x & 7, 0]);
    }
    expect(() =>
      layOut({ width: 32, height: 30, depth: { kind: "mono" }, dots: new Uint16Array(960) }, layout),
    ).toThrow("the picture has 32 x 30 dots, the circuit shows 40 x 30");
  });

  it("ends without a picture where no vertical sync comes", () => {
    const { monitor, picture, layout } = simulateFrame(smallBoard({ noVerticalSync: true }));
    expect(monitor).toMatchObject({ locked: false, reason: "no vertical sync" });
    expect(picture).toBeUndefined();
    expect(layout).toMatchObject({ problem: expect.stringContaining("The vertical sync net stays high.") });
  });

  it("cannot be had of a circuit that names no picture", () => {
    const circuit = buildCircuit({ chips: { X1: [oscillator(40), "OUT=A"], U1: [gate("A", "!A", 5), "A=A Y=Y"] } });
    expect(() => simulateFrame(circuit)).toThrow("the circuit does not say which nets are the picture");
  });

  it("is the same again for the same seed", () => {
    const options = { delays: { seed: 4, spread: "even" }, seed: 4, busy: true } as const;
    const [one, other] = [simulateFrame(smallBoard(), options), simulateFrame(smallBoard(), options)];
    expect(other.events).toBe(one.events);
    expect(other.picture).toEqual(one.picture);
  });
});

describe("the tide board's picture", () => {
  it("is the test card, dot for dot, on a board of random delays while the processor writes nothing", () => {
    const { monitor, picture, card, layout, contentions, standIns } = simulateFrame(openBoard("tide-board"), {
      frames: 1,
      delays: { seed: 2, spread: "even" },
    });
    // 640x480 at 59.94 Hz as VESA DMT 0x04 has it; which table that is, the raster's own tests say.
    expect(monitor.locked && monitor.against.raster.id).toBe("dmt-0x04");
    expect(monitor.locked && monitor.against.meets).toBe(true);
    expect(layout).toMatchObject({ found: 1 });
    expect(picture && toGrey(picture)).toEqual(card && toGrey(card));
    expect(contentions.count).toBe(0);
    expect(standIns).toEqual([]);
  });
});
