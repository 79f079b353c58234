import { expect, test } from "vitest";
import { ownFont } from "../../src/loading/index.js";
import { sampleOf } from "../../src/loading/sample.js";
import { showScreen } from "../../src/loading/show.js";
import { renumbered } from "../../src/loading/transfer/numbering.js";
import { playAll } from "../../src/loading/transfer/play.js";
import { drawTestCard } from "../../src/raster/index.js";
import { filledBoard, parallelProcessor } from "./boards.js";

test("a first picture is a test card, as whoever writes counts its bytes, and shows dot for dot once they are sent", async () => {
  const sample = await sampleOf(filledBoard({ swapped: true, processor: parallelProcessor({ swapped: true }) }));
  if ("problem" in sample) throw new Error(sample.problem);
  const { screen, ram, image, numbering, sending } = sample;
  if ("problem" in sending || !numbering) throw new Error("no way to the memory was found");
  expect(sample.shows).toBe("a test card");
  expect(numbering.isSame).toBe(false);
  // What is sent goes by the memory's own pins.
  const inside = renumbered(image, numbering, true);
  screen.machine.load(ram, new Uint8Array(image.bytes.length).fill(0x5a));
  playAll(
    screen.machine,
    sending.path,
    Array.from(inside.bytes, (byte, address) => ({ address, byte })),
    1e9,
  );
  expect(showScreen(screen, new Map()).picture?.dots).toEqual(drawTestCard(40, 30, 1).dots);
  // 400 ns from one strobe to the next, as the input promises, and eight bytes of each of 30 rows but for dots that nobody sees.
  expect(sending.rate.byteFs / 1e6).toBeCloseTo(400, 0);
  expect(sending.c).toContain(`static const unsigned char dw_bytes[${sending.rate.bytes}]`);
});

test("a first picture of a screen of characters has the title and every letter", async () => {
  const sample = await sampleOf(filledBoard({ shows: "characters" }));
  if ("problem" in sample) throw new Error(sample.problem);
  expect(sample.shows).toBe("a page of all letters");
  expect(sample.filled.missing).toEqual([]);
  // Codes of the upper left corner, five characters a row, are those of the title in ISO 8859-1.
  const { grid } = sample.filled;
  const bytes = sample.filled.contents.get(sample.ram) ?? new Uint8Array(0);
  const codes = grid?.cells.slice(0, 5).map(({ first }) => bytes[first / 8]) ?? [];
  expect(String.fromCharCode(...codes.flatMap((code) => code ?? []))).toBe("Fille");
  expect(ownFont().glyphs.size).toBeGreaterThan(94);
  // Nothing writes this memory from outside.
  expect(sample.sending).toHaveProperty("problem");
});
