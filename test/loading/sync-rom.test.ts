import { expect, test } from "vitest";
import { fillScreen, memoriesOf, mapScreen, showScreen } from "../../src/loading/index.js";
import { makeSyncRom } from "../../src/loading/sync/sync-rom.js";
import { drawTestCard } from "../../src/raster/index.js";
import { powerUpMachine, BeamScreen } from "../../src/simulation/index.js";
import { syncRomBoard } from "./boards.js";

test.each([false, true])(
  "a ROM that columns and lines address makes the syncs of 640x480 at 60 Hz (turned round: %s)",
  (swapped) => {
    const circuit = syncRomBoard({ swapped });
    const { machine, raster } = powerUpMachine(circuit);
    const rom = circuit.chips.find(({ ref }) => ref === "U9");
    if (!raster || !rom || !circuit.picture) throw new Error("no raster, ROM or picture");
    expect(memoriesOf(circuit).syncRoms).toEqual([rom]);
    const made = makeSyncRom(machine, raster, rom);
    if ("problem" in made) throw new Error(made.problem);
    // 800 dots of 25.175 MHz in counts of 16, and 525 lines.
    expect(made).toMatchObject({ columns: 50, lines: 525 });
    for (const ram of memoriesOf(circuit).rams) machine.load(ram, new Uint8Array(256).fill(0xff));
    const screen = new BeamScreen(machine, circuit.picture, { raster, pixel: 16 });
    screen.runFrame();
    screen.runFrame();
    const shown = screen.runFrame();
    expect(shown.locked && shown.against.meets && shown.against.raster.id).toBe("dmt-0x04");
    expect(shown.locked && shown.displacement).toEqual({ dots: expect.closeTo(0, 1) as number, rows: 0 });
    expect(machine.doubts).toEqual([]);
  },
);

test("a board with such a ROM is mapped and filled like any other", async () => {
  const screen = mapScreen(syncRomBoard());
  if ("problem" in screen) throw new Error(screen.problem);
  expect(screen.map.found).toBe(1);
  expect(screen.syncRom).toMatchObject({ columns: 50, lines: 525 });
  const { contents, unlike } = await fillScreen(screen, [{ kind: "test card" }]);
  expect(unlike).toBe(0);
  expect(showScreen(screen, contents).picture?.dots).toEqual(drawTestCard(40, 30, 1).dots);
});
