import { expect, test } from "vitest";
import {
  Views,
  fillScreen,
  foretellPicture,
  learnWritePath,
  ownFont,
  powerScreen,
  scrolled,
  writeC,
} from "../../src/loading/index.js";
import { BeamScreen, ownPicture } from "../../src/simulation/index.js";
import { PICTURE, openBoard } from "../examples/board.js";
import { play, runC } from "../loading/run-c.js";
import { netOf } from "../support/build-circuit.js";

test("the lap board moves up by a line of text, two rows a frame, as the C's pin changes have it", async () => {
  const circuit = openBoard("lap-board");
  const running = powerScreen(circuit);
  if ("problem" in running) throw new Error(running.problem);
  const { machine, raster } = running;
  const path = learnWritePath(machine, raster);
  if ("problem" in path) throw new Error(path.problem);
  const views = Views.find(running, path);
  const shown = views?.mapAt(252);
  if (!views || !shown || "problem" in shown) throw new Error("no register was found");
  machine.load(path.ram, PICTURE);
  const before = machine.save();
  // From 252 on to 256, which is 0: round the ring of 512 rows.
  const next = scrolled(views, shown, 252, { rows: 8, isSmooth: true });
  if ("problem" in next) throw new Error(next.problem);
  expect(next).toMatchObject({ numbers: [253, 254, 255, 0], isHidden: true });
  const incoming = next.incoming.get(path.ram) ?? new Uint8Array(0);
  const held = PICTURE.map((byte, at) => (incoming[at] === 1 ? 0 : byte));
  const place = { x: 8, y: 232, width: 312, height: 8 };
  const text = { kind: "text", text: "Lane 4  1:02.38", font: ownFont(), place, align: "left", scale: 1 } as const;
  const { contents } = await fillScreen(next.screen, [{ ...text, leading: 0, inverse: false }], {
    before: new Map([[path.ram, held]]),
  });
  const image = contents.get(path.ram) ?? new Uint8Array(0);
  const bytes = [...image.keys()]
    .filter((at) => incoming[at] === 1)
    .map((address) => ({ address, byte: image[address] ?? 0 }));
  expect(bytes).toHaveLength(8 * 40);
  const view = { way: next.way, numbers: next.numbers, comes: "behind" } as const;
  const source = writeC(circuit, path, bytes, { title: "a line", view });

  /** Dots of the next whole frame, row by row. */
  const seen = (): readonly string[] => {
    if (!circuit.picture) throw new Error("no picture");
    const screen = new BeamScreen(machine, circuit.picture, { raster, pixel: 2 });
    screen.runFrame();
    const monitor = screen.runFrame();
    const { displacement } = shown.map;
    const own = monitor.locked && ownPicture({ ...monitor, displacement }, raster, screen.record, shown.map);
    return own ? rowsOf(own.picture.dots) : [];
  };
  const rowsOf = (dots: ArrayLike<number>) =>
    Array.from({ length: 240 }, (_, y) => Array.from({ length: 320 }, (_none, x) => dots[y * 320 + x] ?? 0).join(""));
  // Lines 480 and on are blank.
  const blank = ["LINE5", "LINE6", "LINE7", "LINE8"].map((net) => netOf(circuit, net).id);
  const isBlank = () => blank.every((net) => machine.valueOf(net) === 1);
  const frames: (readonly string[])[] = [];
  machine.restore(before);
  play(machine, runC(circuit, source), () => {
    frames.push(seen());
    while (isBlank()) machine.run(machine.now + 1e9);
    while (!isBlank()) machine.run(machine.now + 1e9);
  });
  frames.push(seen());
  const last = rowsOf(foretellPicture(next.screen.map, new Map([[path.ram, image]])).dots);
  expect(frames).toHaveLength(5);
  expect(frames.at(-1)).toEqual(last);
  expect(new Set(last.slice(232)).size).toBeGreaterThan(4);
  const first = frames[0] ?? [];
  frames.forEach((rows, step) => expect(rows.slice(0, 240 - 2 * step)).toEqual(first.slice(2 * step)));
});
