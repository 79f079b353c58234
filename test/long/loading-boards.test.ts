import { describe, expect, test } from "vitest";
import { ownFont } from "../../src/loading/index.js";
import { fillScreen } from "../../src/loading/fill/compose.js";
import { foretellPicture } from "../../src/loading/mapping/screen-map.js";
import { mapScreen } from "../../src/loading/mapping/screen.js";
import { showScreen } from "../../src/loading/show.js";
import { learnWritePath } from "../../src/loading/transfer/learn.js";
import { bestOrder } from "../../src/loading/transfer/order.js";
import { playAll } from "../../src/loading/transfer/play.js";
import { openBoard } from "../examples/board.js";

describe("every bundled board", () => {
  test.each(["tide-board", "star-board", "order-board", "garden-board", "lap-board", "bowling-board"])(
    "shows a text dot for dot that was sent from its processor's side: %s",
    async (name) => {
      const screen = mapScreen(openBoard(name));
      if ("problem" in screen) throw new Error(screen.problem);
      expect(screen.map.found).toBe(1);
      const path = learnWritePath(screen.machine, screen.raster);
      if ("problem" in path) throw new Error(path.problem);
      const text = {
        kind: "text",
        text: "Coffee 2.40\nTea 1.90",
        font: ownFont(),
        align: "left",
        scale: 1,
        leading: 0,
      } as const;
      const { contents, needed, unlike } = await fillScreen(screen, [
        { kind: "fill", colour: 0 },
        { ...text, inverse: false },
      ]);
      expect(unlike).toBe(0);
      // What a processor does not write is there before: the ROM's letters.
      for (const [chip, bytes] of contents) if (chip !== path.ram) screen.machine.load(chip, bytes);
      const words = needed.get(path.ram);
      const bytes = Array.from(contents.get(path.ram) ?? [], (byte, address) => ({ address, byte }));
      // A byte on the bowling board's bus is written from before its data stand, which is worked out thoroughly: lit ones only.
      const isSlow = name === "bowling-board";
      if (isSlow) screen.machine.load(path.ram, new Uint8Array(bytes.length));
      const sent = bytes.filter(({ address, byte }) => words?.[address] === 1 && (!isSlow || byte !== 0));
      playAll(screen.machine, path, bestOrder(path, sent), 1e10);
      const { picture } = showScreen(screen, new Map());
      expect(picture?.dots).toEqual(foretellPicture(screen.map, contents).dots);
      expect(picture?.dots.some((dot) => dot > 0)).toBe(true);
    },
  );
});
