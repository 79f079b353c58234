import { describe, expect, test } from "vitest";
import type { Circuit } from "../../src/circuit/circuit.js";
import { fillScreen } from "../../src/loading/fill/compose.js";
import { ownFont } from "../../src/loading/font/index.js";
import { type MappedScreen, mapScreen } from "../../src/loading/mapping/screen.js";
import { foretellPicture } from "../../src/loading/mapping/screen-map.js";
import { drawTestCard, toRgb } from "../../src/raster/index.js";
import { showScreen } from "../../src/loading/show.js";
import { openBoard } from "../examples/board.js";
import { chipOf } from "../support/build-circuit.js";
import { filledBoard } from "./boards.js";

function mapped(circuit: Circuit): MappedScreen {
  const screen = mapScreen(circuit);
  if ("problem" in screen) throw new Error(screen.problem);
  return screen;
}

describe("which dot is which bit", () => {
  test.each([false, true])(
    "is found whatever the order of address and data lines (turned round: %s)",
    async (swapped) => {
      const circuit = filledBoard({ swapped });
      const screen = mapped(circuit);
      expect(screen.map.found).toBe(1);
      const { contents, unlike } = await fillScreen(screen, [{ kind: "test card" }]);
      expect(unlike).toBe(0);
      const shown = showScreen(screen, contents);
      expect(shown.picture?.dots).toEqual(drawTestCard(40, 30, 1).dots);
    },
  );

  test("of two bits a dot is found for each of them, and all four colours are shown", async () => {
    const screen = mapped(filledBoard({ shows: "pairs", swapped: true }));
    expect(screen.map.found).toBe(1);
    const image = { width: 40, height: 30, data: new Uint8Array(40 * 30 * 4) };
    // Quarters in black, red, green and yellow.
    for (let dot = 0; dot < 1200; dot++) {
      const [red, green] = [dot % 40 >= 20 ? 255 : 0, dot >= 600 ? 255 : 0];
      image.data.set([red, green, 0, 255], 4 * dot);
    }
    const tone = { dither: "none" } as const;
    const { contents, unlike, values } = await fillScreen(screen, [
      { kind: "picture", image, fit: "stretch", filter: "box", tone },
    ]);
    expect(values.colours).toEqual([
      [0, 0, 0],
      [0, 255, 0],
      [255, 0, 0],
      [255, 255, 0],
    ]);
    expect(unlike).toBe(0);
    const shown = showScreen(screen, contents).picture;
    if (!shown) throw new Error("no picture");
    const rgb = toRgb(shown);
    expect(rgb).toEqual(
      Uint8Array.from({ length: 3600 }, (_, at) => image.data[4 * Math.floor(at / 3) + (at % 3)] ?? 0),
    );
  });

  test.each([false, true])(
    "behind a character ROM is found by the bits on its address lines (turned round: %s)",
    async (swapped) => {
      const circuit = filledBoard({ shows: "characters", swapped });
      const screen = mapped(circuit);
      expect(screen.map.found).toBe(1);
      const text = {
        kind: "text",
        text: "TIDE\n4.2m",
        font: ownFont(),
        align: "left",
        scale: 1,
        leading: 0,
        inverse: false,
      } as const;
      const { contents, grid } = await fillScreen(screen, [text]);
      expect(grid).toMatchObject({ columns: 5, rows: 4, width: 8, height: 8 });
      const codes = contents.get(chipOf(circuit, "U5"));
      expect(codes?.filter((code) => code !== 0)).toHaveLength("TIDE4.2m".length);
      const shown = showScreen(screen, contents).picture;
      // The same letters as the font has them, in cells of 8 x 8 with its 6 x 8 in the middle.
      const lit = new Uint16Array(1200);
      [..."TIDE"].forEach((letter, column) => {
        const glyph = ownFont().glyphs.get(letter.charCodeAt(0));
        glyph?.dots.forEach((dot, at) => {
          if (dot === 1) lit[Math.floor(at / 5) * 40 + column * 8 + 1 + (at % 5)] = 1;
        });
      });
      expect(shown?.dots.subarray(0, 320)).toEqual(lit.subarray(0, 320));
      expect(shown?.dots).toEqual(foretellPicture(screen.map, contents).dots);
    },
  );

  test("of the tide board is found for every dot: bit 7 leftmost, 64 bytes a row, as its page says", () => {
    const { map } = mapped(openBoard("tide-board"));
    expect(map.found).toBe(1);
    for (const net of map.nets) {
      for (let dot = 0; dot < 320 * 240; dot += 7) {
        const [x, y] = [dot % 320, Math.floor(dot / 320)];
        expect(net.ram[dot]).toBe((y * 64 + (x >> 3)) * 8 + 7 - (x & 7));
      }
    }
  });
});
