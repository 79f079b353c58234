import { describe, expect, test } from "vitest";
import { fileOf } from "../../src/cli/load-fillings.js";
import {
  fillScreen,
  learnWritePath,
  mapRunning,
  memoriesOf,
  powerScreen,
  rateOf,
  showScreen,
  shownMemories,
  writeC,
} from "../../src/loading/index.js";
import { drawTestCard } from "../../src/raster/index.js";
import { filledBoard, parallelProcessor } from "./boards.js";
import { play, runC } from "./run-c.js";

describe("a picture in two memories", () => {
  test.each([
    { halves: "banks", bit: "PA7" },
    { halves: "lanes", bit: "PA0" },
  ] as const)("in $halves is split between them, sent to each, and shown dot for dot", async ({ halves, bit }) => {
    const circuit = filledBoard({ halves, processor: parallelProcessor() });
    const { rams } = memoriesOf(circuit);
    const running = powerScreen(circuit);
    if ("problem" in running) throw new Error(running.problem);
    const paths = rams.map((ram) => {
      const path = learnWritePath(running.machine, running.raster, ram);
      if ("problem" in path) throw new Error(path.problem);
      return path;
    });
    // One address line of the processor chooses the memory: low the first, high the other.
    const held = paths.map((path) =>
      path.stages.flatMap((stage) => [...stage.held].map(([net, level]) => [circuit.nets[net]?.name, level])),
    );
    expect(held).toEqual([[[bit, 0]], [[bit, 1]]]);

    const screen = mapRunning(running);
    if ("problem" in screen) throw new Error(screen.problem);
    expect(screen.map.found).toBe(1);
    expect(shownMemories(screen.map).map(({ ref }) => ref)).toEqual(["U5", "U14"]);
    const { contents, needed, unlike } = await fillScreen(screen, [{ kind: "test card" }]);
    expect(unlike).toBe(0);
    const transfers = paths.map((path) => ({
      path,
      bytes: Array.from(contents.get(path.ram) ?? [], (byte, address) => ({ address, byte })).filter(
        ({ address }) => needed.get(path.ram)?.[address] === 1,
      ),
    }));
    // 5 bytes of each of 30 rows: 16 rows and 14, or bytes 0, 2, 4 and 1, 3.
    const counts = transfers.map(({ bytes }) => bytes.length);
    expect(counts).toEqual(halves === "banks" ? [80, 70] : [90, 60]);
    const [first, other] = transfers;
    if (!first || !other) throw new Error("no two memories");
    const { bytes, timeFs } = rateOf(circuit, screen.raster, [first, other]);
    expect(bytes).toBe(150);
    // A pulse every 400 ns, the file says.
    expect(timeFs / 1e6).toBeCloseTo(150 * 400, -3);
    for (const { path } of transfers) screen.machine.load(path.ram, new Uint8Array(128).fill(0x5a));
    const source = writeC(circuit, first.path, first.bytes, { title: "a test card", others: [other] });
    play(screen.machine, runC(circuit, source));
    expect(showScreen(screen, new Map()).picture?.dots).toEqual(drawTestCard(40, 30, 1).dots);
  });

  test("has a file of its own for each memory, named by it", () => {
    const { rams } = memoriesOf(filledBoard({ halves: "banks", processor: parallelProcessor() }));
    const files = rams.map((ram) => fileOf("out.d/card.hex", ram, rams));
    expect(files).toEqual(["out.d/card.U5.hex", "out.d/card.U14.hex"]);
    expect(rams.slice(0, 1).map((ram) => fileOf("card", ram, [ram]))).toEqual(["card"]);
  });
});
